"""The whole answer for a batch: for each setup its pieces with offsets, settings, errors, order."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Generic, TypeVar, cast

from jigs.batch.anew import jigs_anew
from jigs.batch.budget import AxisBudget, Ends, budget, root_sum_square, worst_case
from jigs.batch.freezing import Loose, dimensions, is_built, still_following
from jigs.batch.grouping import Group
from jigs.batch.order import Order, best_order
from jigs.batch.pieces import Odd, outliers, outside
from jigs.batch.serving import (
    Refusal,
    Serving,
    Sizes,
    nominal_sizes,
    piece_between,
    served,
)
from jigs.errors import DesignError
from jigs.model.batch import Setting, Spread
from jigs.model.kind import Offset
from jigs.model.number import Book
from jigs.model.pose import Pose
from jigs.model.state import Limit
from jigs.reading.batches import Batches
from jigs.shop.piece import SINGLE, Batch, sizes_of
from jigs.sizing import Design, Jig, Setup, design

AXES = ("x", "y", "z")

ENTER_STEP = 0.05
"""mm; offsets that differ by less need not be entered anew. Common practice, no source."""

ENTER_MINUTES = 0.1
"""To enter an offset. Assumed."""

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Row:
    """One piece: what it measures, what to enter and to set, how far it may be off, mm.

    Parameters: offset = (dx, dy, dz) in the machine frame; settings = (jig, setting); centre =
    within which 95 % of such pieces have their centre, None where no jig says; height = its ends;
    refusal = None where it is served.
    """

    id: str
    sizes: Mapping[str, float]
    offset: tuple[float, float, float]
    settings: tuple[tuple[str, Setting], ...]
    centre: float | None
    height: Ends | None
    refusal: Refusal | None


@dataclass(frozen=True)
class SetupRun:
    """The batch on one setup. Rows are as listed; `order` says how to run them."""

    setup: Setup
    batch: Batch | None
    rows: tuple[Row, ...]
    order: Order
    serving: Serving
    budgets: tuple[AxisBudget, ...]
    odd: tuple[Odd, ...]
    outside: tuple[Odd, ...]
    without: str
    loose: tuple[Loose, ...]
    built: tuple[str, ...]
    anew: tuple[str, list[Group]]
    """Where not all are served: the size, and groups of pieces for jigs sized by rule."""


def run_batch(d: Design) -> list[SetupRun]:
    """Work out every setup's batch. Pieces that were not measured are shown at their limits."""
    return [_run(d, setup) for setup in d.setups]


def _run(d: Design, setup: Setup) -> SetupRun:
    batch = d.job.measured.of.get(setup.model.piece)
    ids, pieces = _pieces(setup, batch)
    serving = served(d, setup, pieces)
    rows = tuple(_rows(setup, ids, pieces, serving))
    odd = tuple(outliers(batch)) if batch else ()
    return SetupRun(
        setup, batch, rows, best_order(_to_change(rows)), serving,
        _budgets(setup), odd, tuple(outside(batch)) if batch else (),
        _without(d, setup, batch, odd) if batch else "", tuple(still_following(setup)),
        tuple(jig.name for jig in setup.jigs if is_built(jig)),
        jigs_anew(d, setup, pieces) if any(serving.refusals) else ("", []),
    )  # fmt: skip


def _to_change(rows: Sequence[Row]) -> list[tuple[Setting, ...]]:
    """What takes time from piece to piece: settings, and offsets to enter where they differ."""
    known: dict[tuple[int, int, int, int], tuple[Setting, ...]] = {}
    found = []
    for row in rows:
        x, y, z = (round(d / ENTER_STEP) for d in row.offset)
        key = (id(row.settings), x, y, z)
        if key not in known:
            # Two jigs may have settings of one name.
            named = [replace(s, name=f"{jig}: {s.name}") for jig, s in row.settings if s.changes]
            enter = [
                Setting(f"{axis} to enter", steps * ENTER_STEP, changes=ENTER_MINUTES)
                for axis, steps in zip(AXES, (x, y, z), strict=True)
            ]
            known[key] = (*named, *enter)
        found.append(known[key])
    return found


def _pieces(setup: Setup, batch: Batch | None) -> tuple[list[str], list[Sizes]]:
    common = nominal_sizes(setup.piece)
    if batch is None:
        singles = {word: common[word] for word in SINGLE[setup.piece.shape]}
        return [str(limit) for limit in Limit], [
            {**sizes_of(setup.piece, limit), **singles} for limit in Limit
        ]
    return list(batch.ids), [batch.row(i, common) for i in range(len(batch))]


def _rows(
    setup: Setup, ids: Sequence[str], pieces: Sequence[Sizes], serving: Serving
) -> Iterator[Row]:
    offsets = [_Remembered[Offset](_asks_offset(jig)) for jig in setup.jigs]
    settings = [_Remembered[tuple[Setting, ...]](_asks_settings(jig)) for jig in setup.jigs]
    errors = _Remembered[tuple[float | None, Ends | None]](
        lambda sizes: errors_of(setup, sizes), SINGLE[setup.piece.shape]
    )
    names = [jig.name for jig in setup.jigs]
    frame = setup.frame

    @cache
    def joined(each: tuple[tuple[Setting, ...], ...]) -> tuple[tuple[str, Setting], ...]:
        return tuple((jig, s) for jig, several in zip(names, each, strict=True) for s in several)

    for name, sizes, refusal in zip(ids, pieces, serving.refusals, strict=True):
        told = joined(tuple(ask(sizes) for ask in settings))
        centre, height = errors(sizes)
        offset = _in_machine(frame, [ask(sizes) for ask in offsets])
        yield Row(name, sizes, offset, told, centre, height, refusal)


def _asks_offset(jig: Jig) -> Callable[[Sizes], Offset]:
    return lambda sizes: jig.kind.offset_of(jig.n, sizes)


def _asks_settings(jig: Jig) -> Callable[[Sizes], tuple[Setting, ...]]:
    return lambda sizes: tuple(jig.kind.settings(jig.n, sizes))


def _in_machine(frame: Pose, offsets: Sequence[Offset]) -> tuple[float, float, float]:
    """The first jig that decides an axis, turned into the machine's frame."""
    at = []
    for axis in ("dx", "dy", "dz"):
        at.append(next((v for o in offsets if (v := getattr(o, axis)) is not None), 0.0))
    turned = frame.apply((at[0], at[1], at[2]))
    return (turned[0], turned[1], turned[2])


class _Noting(dict[str, float]):
    """Sizes that note which of them are asked for."""

    def __init__(self, sizes: Mapping[str, float]) -> None:
        super().__init__(sizes)
        self.asked: set[str] = set()

    def __getitem__(self, name: str) -> float:
        self.asked.add(name)
        return super().__getitem__(name)

    def get(self, name: str, other: float | None = None) -> float | None:  # type: ignore[override]
        """The size, or the other."""
        return self[name] if self.__contains__(name) else other

    def __contains__(self, name: object) -> bool:
        self.asked.add(str(name))
        return super().__contains__(name)


class _Remembered(Generic[T]):
    """Answers by the sizes that matter: a kind is asked once for each different set of them.

    What an answer reads depends only on what it has read before, so a known answer for equal sizes
    is the answer.
    """

    def __init__(self, ask: Callable[[Sizes], T], words: Sequence[str] = ()) -> None:
        self._ask, self._words = ask, tuple(words)
        self._fixed = bool(words)
        self._known: dict[tuple[float | None, ...], T] = {}

    def __call__(self, sizes: Sizes) -> T:
        key = tuple(map(sizes.get, self._words))
        if key in self._known:
            return self._known[key]
        noting = _Noting(sizes)
        answer = self._ask(noting)
        new = noting.asked - set(self._words)
        if new and not self._fixed:
            self._words = (*self._words, *sorted(new))
            self._known.clear()
            key = tuple(map(sizes.get, self._words))
        self._known[key] = answer
        return answer


# ---- errors -------------------------------------------------------------------------------------


def spreads_of(setup: Setup, single: Mapping[str, float] | None = None) -> list[Spread]:
    """What every jig adds, along the machine's axes; `single` = taper and ovality of one piece."""
    found: list[Spread] = []
    for jig in setup.jigs:
        n = cast(Book, _With(jig.n, single)) if single else jig.n
        found += [_turned(setup, s) for s in jig.kind.spreads(n)]
    return found


class _With:
    """The jig's numbers with one piece's taper and ovality in the place of the batch's."""

    def __init__(self, book: Book, single: Mapping[str, float]) -> None:
        self._book, self._single = book, single

    def __getattr__(self, name: str) -> Any:
        return self._single[name] if name in self._single else getattr(self._book, name)


def _turned(setup: Setup, s: Spread) -> Spread:
    """The spread along the machine's axis that the jig's has become; jigs turn by quarters."""
    if s.axis == "z":
        return s
    unit = (1.0, 0.0, 0.0) if s.axis == "x" else (0.0, 1.0, 0.0)
    x, y, _ = setup.frame.apply(unit)
    along_x = abs(x) > abs(y)
    sign = 1.0 if (x if along_x else y) > 0 else -1.0
    return replace(s, axis="x" if along_x else "y", size=sign * s.size)


def errors_of(setup: Setup, sizes: Mapping[str, float]) -> tuple[float | None, Ends | None]:
    """Of a piece: reach of its centre's error at 95 %, and the ends of its height's error, mm."""
    words = [word for word in SINGLE[setup.piece.shape] if word in sizes]
    spreads = spreads_of(setup, {word: sizes[word] for word in words})
    aside = {
        axis: _nearer(along)
        for axis in ("x", "y") if (along := [s for s in spreads if s.axis == axis])
    }  # fmt: skip
    reach = [max(abs(e.low), abs(e.high)) for e in aside.values()]
    high = [s for s in spreads if s.axis == "z"]
    return (math.hypot(*reach) if reach else None), (_nearer(high) if high else None)


def _nearer(spreads: Sequence[Spread]) -> Ends:
    """Root-sum-square at 95 %, but never beyond the worst case."""
    likely, worst = root_sum_square(spreads), worst_case(spreads)
    return Ends(max(likely.low, worst.low), min(likely.high, worst.high))


def _budgets(setup: Setup) -> tuple[AxisBudget, ...]:
    spreads = spreads_of(setup)
    return tuple(b for axis in AXES if (b := budget(spreads, axis)) is not None)


# ---- without the odd ones -----------------------------------------------------------------------


def _without(d: Design, setup: Setup, batch: Batch, odd: Sequence[Odd]) -> str:
    """How the jigs would come out if the odd pieces were measured again or left out."""
    left_out = {o.place for o in odd}
    kept = [i for i in range(len(batch)) if i not in left_out]
    if not odd or not kept:
        return ""
    common = nominal_sizes(setup.piece)
    least = {w: min(batch.sizes[w][i] for i in kept) for w in batch.sizes}
    most = {w: max(batch.sizes[w][i] for i in kept) for w in batch.sizes}
    job, name = d.job, setup.model.piece
    piece = piece_between(setup.piece, {**common, **least}, {**common, **most})
    for word in common:
        if word not in batch.sizes:
            piece = piece.model_copy(update={word: getattr(setup.piece, word)})
    model = job.model.model_copy(update={"pieces": {**job.model.pieces, name: piece}})
    try:
        other = design(replace(job, model=model, measured=Batches()), d.changes)
    except DesignError as error:
        return f"without it no jig can be sized: {error.reason}"
    changes = _differences(setup, next(s for s in other.setups if s.name == setup.name))
    what = "it" if len(left_out) == 1 else f"these {len(left_out)}"
    return f"without {what}: {', '.join(changes[:4])}" if changes else (
        f"without {what} the jigs' dimensions stay as they are"
    )  # fmt: skip


def _differences(now: Setup, then: Setup) -> list[str]:
    told = []
    for jig, other in zip(now.jigs, then.jigs, strict=True):
        for name in dimensions(jig):
            a, b = jig.n[name].value, other.n[name].value
            if jig.n[name].unit != "mm" or isinstance(a, tuple | str) or isinstance(b, tuple | str):
                continue
            if abs(a - b) >= 0.05:
                told.append(f"{jig.name}.{name} {b:.4g} instead of {a:.4g} mm")
    return told
