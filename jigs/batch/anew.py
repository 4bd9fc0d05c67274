"""How many jigs, made anew by rule, a batch needs that the jigs at hand do not serve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from jigs.batch.grouping import Group, grouped
from jigs.batch.serving import NOT_OF_A_PIECE, Sizes, checks_of_a_piece, piece_between
from jigs.errors import DesignError
from jigs.model.finding import Verdict
from jigs.model.number import Standing
from jigs.reading.batches import Batches
from jigs.reading.job import Job
from jigs.shop.piece import LIMITED
from jigs.sizing import Design, Setup, design


def jigs_anew(d: Design, setup: Setup, pieces: Sequence[Sizes]) -> tuple[str, list[Group]]:
    """The size to group by, and the fewest groups of pieces that each get a jig sized by rule.

    No groups where even a jig for one piece alone would not do: that is for `jigs check` to say.
    """
    word = LIMITED[setup.piece.shape][0]
    job = _without_built(d.job)

    def fits(least: float, most: float) -> bool:
        some = [p for p in pieces if least <= p[word] <= most]
        low = {w: min(p[w] for p in some) for w in some[0]}
        high = {w: max(p[w] for p in some) for w in some[0]}
        return _is_met(job, setup, low, high)

    try:
        return word, grouped([p[word] for p in pieces], fits)
    except ValueError:
        return word, []


def _without_built(job: Job) -> Job:
    """The job as if nothing had been built yet."""
    instances = {
        name: replace(
            one,
            replaced={k: n for k, n in one.replaced.items() if n.standing is not Standing.BUILT},
            stock={},
        )
        for name, one in job.instances.items()
    }
    return replace(job, instances=instances, measured=Batches())


def _is_met(job: Job, setup: Setup, least: Sizes, most: Sizes) -> bool:
    pieces = {**job.model.pieces, setup.model.piece: piece_between(setup.piece, least, most)}
    update = {"pieces": pieces, "setups": {setup.name: setup.model}}
    try:
        d = design(replace(job, model=job.model.model_copy(update=update)))
        found = checks_of_a_piece(d)
    except DesignError:
        return False
    return not any(f.verdict is Verdict.NOT_MET and f.group not in NOT_OF_A_PIECE for f in found)
