"""Which pieces the jigs serve as they are, which not and why, and the least change that would do.

A piece is served if every check that numbers can tell is met for a batch of just this piece, with
the jigs' dimensions, torques and work zero kept. Checks ask the least and the largest piece of a
batch, so a whole range of sizes is judged in one go; only where that is not met is it narrowed
down, size by size from a piece that is served.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from jigs.batch.freezing import frozen, made_numbers
from jigs.checks.advice import Advice, least_change, met_checks, step_of
from jigs.checks.numbers import OF_A_GROUP, own_findings
from jigs.errors import DesignError
from jigs.model.finding import Finding, Remedy, Verdict
from jigs.model.number import Value
from jigs.reading.batches import Batches
from jigs.shop.piece import SINGLE, Bar, Turned
from jigs.sizing import Changes, Design, Jig, Setup, design
from jigs.units import Limits

Sizes = dict[str, float]

NOT_OF_A_PIECE = ("make", "print")
"""Groups of checks that ask how parts are made: they are made."""

REFUSED = "size"
"""Group of what stands for an error: no jig can be sized, or judged, for such a piece."""

MOST_ALONE = 60
"""Pieces that are judged one by one where ranges do not tell; assumed: a few seconds."""


@dataclass(frozen=True)
class Refusal:
    """Why a piece is not served. `worst` = of these pieces, the place of the furthest out."""

    finding: Finding
    worst: int
    remedies: tuple[str, ...] = ()
    alone: bool = True
    """Judged by itself; else by its size against a piece that is served."""


@dataclass
class Serving:
    """Answers for the pieces of one setup: None = served. `evaluations` of designs it took."""

    refusals: list[Refusal | None]
    evaluations: int
    ranges: dict[str, tuple[float, float]] = field(default_factory=dict)
    """Size -> least and most of the batch that is served, where not all is."""


class Judge:
    """Judges ranges of sizes of one setup's piece, with the jigs kept as they are."""

    def __init__(self, d: Design, setup: Setup, changes: Changes | None = None) -> None:
        self.design, self.setup = d, setup
        self._changes = dict(changes or {})
        self.evaluations = 0
        name, piece = setup.model.piece, setup.piece
        self._kept: dict[str, Value] = {**d.changes, **frozen(setup)}
        for word in _limited(piece):
            self._kept[f"{name}.{word}_nominal"] = getattr(piece, word).nominal
        self._kept.update(self._changes)
        self._known: dict[tuple[tuple[str, float], ...], tuple[Finding, ...]] = {}

    def of_range(self, least: Sizes, most: Sizes) -> tuple[Finding, ...]:
        """What is not met for a batch between these sizes, mm; empty = all of it is served."""
        key = (*least.items(), *most.items())
        if key not in self._known:
            self._known[key] = self._judged(least, most)
        return self._known[key]

    def of_piece(self, sizes: Sizes) -> tuple[Finding, ...]:
        """What is not met for one piece."""
        return self.of_range(sizes, sizes)

    def changed(self, least: Sizes, most: Sizes) -> Design:
        """The job with that batch and the jigs as they are. Raises DesignError."""
        job, name = self.design.job, self.setup.model.piece
        model = job.model.model_copy(
            update={
                "pieces": {**job.model.pieces, name: piece_between(self.setup.piece, least, most)},
                "setups": {self.setup.name: self.setup.model},
            }
        )
        return design(replace(job, model=model, measured=Batches()), self._kept)

    def _judged(self, least: Sizes, most: Sizes) -> tuple[Finding, ...]:
        self.evaluations += 1
        try:
            d = self.changed(least, most)
            found = checks_of_a_piece(d)
        except DesignError as error:
            return (
                Finding(REFUSED, error.what, Verdict.NOT_MET, of=self.setup.name, why=error.reason),
            )
        return tuple(
            f for f in found if f.verdict is Verdict.NOT_MET and f.group not in NOT_OF_A_PIECE
        )

    def remedies(
        self, sizes: Sizes, finding: Finding, least: Sizes, most: Sizes
    ) -> tuple[str, ...]:
        """The least changes that would serve a piece, in words; the lining first.

        Parameters: least, most = of the batch, for which each change is asked too.
        """
        if finding.group == REFUSED:
            return self._told(self._of_error(sizes), least, most)
        advice = Advice(self.changed(sizes, sizes), met_checks(self.of_piece(sizes)), None)
        found = advice.on(replace(finding, levers=self._levers(finding)))
        return self._told(found, least, most)

    def _of_error(self, sizes: Sizes) -> tuple[Remedy, ...]:
        """Where no jig can be sized for a piece: what would, of lining and what limits size."""
        found = []
        for jig in self.setup.jigs:
            for name in self._that_take_limits(jig):
                number = jig.n[name]
                if number.unit != "mm" or not isinstance(number.value, float | int):
                    continue
                change = self._least(sizes, f"{jig.name}.{name}", float(number.value))
                if change is not None:
                    now = float(number.value)
                    found.append(Remedy(f"{jig.name}.{name}", change, number.unit, now))
        return tuple(found)

    def _that_take_limits(self, jig: Jig) -> list[str]:
        """The lining, and dimensions whose rule reads a size of the piece itself."""
        ends = {f"{w}_{end}" for w in _limited(self.setup.piece) for end in ("least", "most")}
        names = ["liner_thickness"] if "liner_thickness" in jig.n else []
        made = made_numbers(jig)
        return names + [m for m in made if ends & set(jig.kind.rules.cards[m].inputs)]

    def _least(self, sizes: Sizes, qualified: str, now: float) -> float | None:
        def served_at(value: float) -> bool:
            return value > 0 and not self._with(qualified, value).of_piece(sizes)

        ways = [least_change(now, sign * step_of(now, "mm", False), served_at) for sign in (1, -1)]
        return min((w for w in ways if w is not None), key=lambda w: abs(w - now), default=None)

    def _with(self, qualified: str, value: float) -> Judge:
        return Judge(self.design, self.setup, {**self._changes, qualified: value})

    def _levers(self, finding: Finding) -> tuple[str, ...]:
        """The finding's own; where a kept number stands before one of them, that number; lining."""
        levers = dict.fromkeys(finding.levers)
        for jig in self.setup.jigs:
            if jig.name != finding.of:
                continue
            for lever in finding.levers:
                for name, card in jig.kind.rules.cards.items():
                    if lever[1:] in card.inputs and f"{jig.name}.{name}" in self._kept:
                        levers[lever[0] + name] = None
            if "liner_thickness" in jig.n:
                levers.update(dict.fromkeys(("-liner_thickness", "+liner_thickness")))
        return tuple(levers)

    def _told(self, remedies: Sequence[Remedy], least: Sizes, most: Sizes) -> tuple[str, ...]:
        made = {f"{j.name}.{name}" for j in self.setup.jigs for name in made_numbers(j)}

        def way(r: Remedy) -> int:
            if r.number.endswith(".liner_thickness"):
                return 0
            return 2 if r.number in made else 1

        words = ("another lining", "set otherwise", "a part made anew")
        best: dict[int, Remedy] = {}
        for r in sorted(remedies, key=lambda r: len(r.breaks)):
            best.setdefault(way(r), r)
        told = []
        for w, r in sorted(best.items()):
            all_of_it = not self._with(r.number, r.value).of_range(least, most)
            whom = "and then the whole batch is served" if all_of_it else "for such pieces only"
            told.append(f"{words[w]}: {r}, {whom}")
        return tuple(told)


def checks_of_a_piece(d: Design) -> list[Finding]:
    """What numbers tell of a design, but for how parts are made. Raises DesignError."""
    making = {OF_A_GROUP[group] for group in NOT_OF_A_PIECE}
    checks = [check for check in dict.fromkeys(OF_A_GROUP.values()) if check not in making]
    return own_findings(d) + [f for check in checks for f in check(d)]


def _limited(piece: Turned | Bar) -> tuple[str, ...]:
    words = ("grip_diameter",) if isinstance(piece, Turned) else ("width", "depth")
    return (*words, "length")


def nominal_sizes(piece: Turned | Bar) -> Sizes:
    """Sizes of the nominal piece by their words, taper and ovality too, mm."""
    sizes = {word: float(getattr(piece, word).nominal) for word in _limited(piece)}
    sizes.update((word, float(getattr(piece, word))) for word in SINGLE[piece.shape])
    return sizes


def piece_between(piece: Turned | Bar, least: Sizes, most: Sizes) -> Turned | Bar:
    """The piece of a batch between these sizes, mm."""
    limited = _limited(piece)
    update: dict[str, object] = {"measured": None}
    for word in least:
        low, high = least[word], most[word]
        update[word] = Limits(low, (low + high) / 2, high) if word in limited else high
    return piece.model_copy(update=update)


def served(d: Design, setup: Setup, pieces: Sequence[Sizes]) -> Serving:
    """Judge every piece of a batch, each by all its sizes, mm."""
    judge = Judge(d, setup)
    answer = Serving([None] * len(pieces), 0)
    if pieces and judge.of_range(*_box(pieces)):
        _narrowed(judge, pieces, answer)
        _advise(judge, pieces, answer)
    answer.evaluations = judge.evaluations
    return answer


def _box(pieces: Sequence[Sizes]) -> tuple[Sizes, Sizes]:
    return (
        {word: min(p[word] for p in pieces) for word in pieces[0]},
        {word: max(p[word] for p in pieces) for word in pieces[0]},
    )


def _narrowed(judge: Judge, pieces: Sequence[Sizes], answer: Serving) -> None:
    seed = _seed(judge, pieces)
    if seed is None:
        _one_by_one(judge, pieces, range(len(pieces)), answer)
        return
    reach = {w: _reach(judge, pieces[seed], w, sorted({p[w] for p in pieces})) for w in pieces[0]}
    least, most = _box(pieces)
    answer.ranges = {w: ends for w, ends in reach.items() if ends != (least[w], most[w])}
    inside = [
        i for i, p in enumerate(pieces)
        if all(low <= p[word] <= high for word, (low, high) in reach.items())
    ]  # fmt: skip
    outside = sorted(set(range(len(pieces))) - set(inside))
    if len({tuple(pieces[i].values()) for i in outside}) <= MOST_ALONE:
        _one_by_one(judge, pieces, outside, answer)
    else:
        _by_range(judge, pieces, outside, seed, reach, answer)
    _together(judge, pieces, inside, answer)


def _seed(judge: Judge, pieces: Sequence[Sizes]) -> int | None:
    """A piece that is served: the one nearest the medians, then those at ninths of each size."""
    words = list(pieces[0])
    orders = {w: _by_size(pieces, w) for w in words}
    middle = {w: pieces[orders[w][len(pieces) // 2]][w] for w in words}
    nearest = min(
        range(len(pieces)), key=lambda i: sum(abs(pieces[i][w] - middle[w]) for w in words)
    )
    tries = [nearest, *(o[k * (len(o) - 1) // 8] for o in orders.values() for k in range(9))]
    return next((i for i in dict.fromkeys(tries) if not judge.of_piece(pieces[i])), None)


def _by_size(pieces: Sequence[Sizes], word: str) -> list[int]:
    return sorted(range(len(pieces)), key=lambda i: pieces[i][word])


def _reach(judge: Judge, seed: Sizes, word: str, values: Sequence[float]) -> tuple[float, float]:
    """Least and most of the batch's values of one size that are served with the seed's others."""

    def good(at: int) -> bool:
        return not judge.of_piece({**seed, word: values[at]})

    start = bisect_left(values, seed[word])
    ends = []
    for last in (0, len(values) - 1):
        near, far = start, last
        if not good(last):
            while abs(far - near) > 1:
                middle = (near + far) // 2
                near, far = (middle, far) if good(middle) else (near, middle)
            far = near
        ends.append(values[far])
    return ends[0], ends[1]


def _one_by_one(
    judge: Judge, pieces: Sequence[Sizes], places: Sequence[int], answer: Serving
) -> None:
    """Each different piece by itself; beyond the cap the answer is that of the last judged."""
    last: tuple[Finding, ...] = ()
    different: set[tuple[float, ...]] = set()
    for i in places:
        different.add(tuple(pieces[i].values()))
        alone = len(different) <= MOST_ALONE
        if alone:
            found = judge.of_piece(pieces[i])
            last = found or last
        else:
            found = last
        answer.refusals[i] = Refusal(found[0], i, alone=alone) if found else None


def _by_range(
    judge: Judge, pieces: Sequence[Sizes], places: Sequence[int], seed: int,
    reach: dict[str, tuple[float, float]], answer: Serving,
) -> None:  # fmt: skip
    """By the size that lies furthest out, judged at the end of the batch with the seed's others."""
    for i in places:
        word = max(reach, key=lambda w: max(reach[w][0] - pieces[i][w], pieces[i][w] - reach[w][1]))
        values = [p[word] for p in pieces]
        end = min(values) if pieces[i][word] < reach[word][0] else max(values)
        found = judge.of_piece({**pieces[seed], word: end})
        if found:
            answer.refusals[i] = Refusal(found[0], i, alone=False)


def _together(judge: Judge, pieces: Sequence[Sizes], places: list[int], answer: Serving) -> None:
    """Sizes that are each served may not be so together: halve the range until that is settled."""
    waiting = [places]
    while waiting:
        some = waiting.pop()
        if not some:
            continue
        least, most = _box([pieces[i] for i in some])
        found = judge.of_range(least, most)
        if not found:
            continue
        word = max(least, key=lambda w: (most[w] - least[w]) / (most[w] or 1.0))
        if least == most or judge.evaluations > 10 * MOST_ALONE:
            for i in some:
                answer.refusals[i] = Refusal(found[0], i, alone=least == most)
            continue
        cut = (least[word] + most[word]) / 2
        waiting += [[i for i in some if pieces[i][word] <= cut],
                    [i for i in some if pieces[i][word] > cut]]  # fmt: skip


def _advise(judge: Judge, pieces: Sequence[Sizes], answer: Serving) -> None:
    """One advice for each check that is not met, on the piece that is furthest from it."""
    worst: dict[tuple[str, str], Refusal] = {}
    for refusal in answer.refusals:
        if refusal is None:
            continue
        key = (refusal.finding.of, refusal.finding.check)
        if key not in worst or _margin(refusal) < _margin(worst[key]):
            worst[key] = refusal
    told = {
        key: (r.worst, judge.remedies(pieces[r.worst], r.finding, *_box(pieces)))
        for key, r in worst.items()
    }
    answer.refusals = [
        replace(r, worst=told[key][0], remedies=told[key][1])
        if r is not None and (key := (r.finding.of, r.finding.check)) in told
        else r
        for r in answer.refusals
    ]


def _margin(refusal: Refusal) -> float:
    margin = refusal.finding.margin
    return -1e9 if margin is None else margin
