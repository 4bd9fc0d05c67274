"""Care of the jigs while a batch runs: what to look at, and how often."""

from __future__ import annotations

from dataclasses import dataclass

from jigs.model.number import Number, Standing
from jigs.model.part import Lining, Print
from jigs.sizing import Setup

PRACTICE = "common practice, no source: start with this and go by what you find"


@dataclass(frozen=True, slots=True)
class Care:
    """One thing to do every so many pieces, by `every` with its standing."""

    told: str
    every: Number


def care_of(setup: Setup) -> list[Care]:
    """What the jigs of a setup want while it runs; by what their parts are made of."""
    found = [
        _care("retorque_first", "pieces until every bolt and knob is tightened anew: new faces and "
              "linings settle", 10),
        _care("retorque_every", "pieces between looking at all fastenings and tightening anew", 50),
        _care("zero_every", "pieces between finding the work zero again from its datum", 50),
    ]  # fmt: skip
    made = [part.made for jig in setup.jigs for part in jig.parts.values()]
    if any(isinstance(m, Lining) for m in made):
        found.append(
            _care("liner_every", "pieces between looking at the lining: renew it when it is torn, "
                  "shiny or keeps a dent", 100)
        )  # fmt: skip
    if any(isinstance(m, Print) for m in made):
        found.append(
            _care("printed_every", "pieces between measuring the printed parts again, and before "
                  "each batch: plastic creeps", 50)
        )  # fmt: skip
    return found


def _care(name: str, meaning: str, pieces: int) -> Care:
    every = Number(name, pieces, "", Standing.ASSUMED, meaning, (), PRACTICE)
    return Care(f"{pieces} {meaning}", every)
