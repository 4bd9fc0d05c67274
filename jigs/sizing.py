"""From a job to its numbers: the books of machine, piece, setup and jigs, tied together.

A jig asks its own book first, then its setup (what the user fixed there, then what the other jigs
of the setup offer, then the setup's own rules), then stock, piece and machine.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from jigs.errors import DesignError
from jigs.kinds import kinds
from jigs.model.kind import BoardHole, FromStock, Kind, Offset, Placed
from jigs.model.move import Move
from jigs.model.number import Book, Number, Rules, Standing, Value
from jigs.model.part import Part
from jigs.model.pose import Pose
from jigs.model.state import Contact, State
from jigs.reading.job import Instance, Job, stock_options
from jigs.reading.models import SetupModel
from jigs.refusing import of_its_numbers
from jigs.setup_rules import setup_rule
from jigs.shop.base import fact
from jigs.shop.cutting import cut_rule, heaviest_facts
from jigs.shop.machine import cutter_facts, machine_facts
from jigs.shop.making import making_facts
from jigs.shop.piece import Bar, Turned, piece_facts
from jigs.shop.stock import cut_facts, cut_given, lining_facts, own_woods, sheet_facts

CUT_NUMBERS = frozenset(("cut_depth", "cut_width", "cut_does", "cut_direction", "stick_out",
                         "cutter_diameter", "flute_length", "shank", "cutter_length"))  # fmt: skip
"""Numbers that a setup has through its cut."""

Changes = Mapping[str, Value]
"""Qualified number (`ring.gap`) -> value to try in its place."""


class SetupBook(Book):
    """The numbers that the jigs of one setup share.

    What the user fixed comes first, then piece, machine and cut, then what the jigs offer, then
    the setup's own rules.
    """

    def __init__(self, owner: str, facts: list[Number], outer: list[Book]) -> None:
        super().__init__(owner, facts, setup_rule, {}, outer)
        self.jigs: tuple[Jig, ...] = ()

    def __getitem__(self, name: str) -> Number:
        if name not in self._facts and (offer := self._offer(name)) is not None:
            book, number = offer
            return replace(book[number], name=name)
        return super().__getitem__(name)

    def finds(self, name: str) -> bool:
        """Is the name fixed, known further out, ruled here, or offered by a jig?"""
        return super().finds(name) or self._offer(name) is not None

    def _offer(self, name: str) -> tuple[Book, str] | None:
        # Further out first: what a jig offers may itself ask piece and machine.
        if any(book.finds(name) for book in self.outer):
            return None
        for jig in self.jigs:
            offers = jig.kind.offers(jig.n)
            if name in offers:
                return jig.n, offers[name]
        return None


@dataclass(frozen=True)
class Jig:
    """A jig of a setup: kind, numbers, and what follows from them."""

    name: str
    kind: Kind
    n: Book

    @cached_property
    @of_its_numbers
    def parts(self) -> dict[str, Part]:
        """Every different part by id."""
        return {part.id: part for part in self.kind.parts(self.n)}

    @cached_property
    def frame(self) -> Pose:
        """The jig's frame in the work frame: a turn about z."""
        return Pose.turned("z", self.n.turn)

    @of_its_numbers
    def poses(self, state: State) -> tuple[Placed, ...]:
        """Where its parts stand in the work frame."""
        if state not in self._poses:
            placed = self.kind.poses(self.n, state)
            self._poses[state] = tuple(replace(p, pose=self.frame @ p.pose) for p in placed)
        return self._poses[state]

    @cached_property
    def _poses(self) -> dict[State, tuple[Placed, ...]]:
        return {}

    def contacts(self, state: State) -> tuple[Contact, ...]:
        """What of it is meant to touch in a state."""
        if state not in self._contacts:
            self._contacts[state] = tuple(self.kind.contacts(self.n, state))
        return self._contacts[state]

    @cached_property
    def _contacts(self) -> dict[State, tuple[Contact, ...]]:
        return {}

    @cached_property
    @of_its_numbers
    def moves(self) -> tuple[Move, ...]:
        """The way out of every unit."""
        return tuple(self.kind.moves(self.n))

    @cached_property
    @of_its_numbers
    def board_holes(self) -> list[BoardHole]:
        """Holes to drill in the machine's boards, in the work frame."""
        holes = self.kind.board_holes(self.n)
        return [replace(hole, at=self.frame.apply(hole.at)) for hole in holes]


@dataclass(frozen=True)
class Setup:
    """Jigs and piece on the machine. The work frame's origin is the work zero."""

    name: str
    model: SetupModel
    piece: Turned | Bar
    n: SetupBook
    jigs: tuple[Jig, ...]
    cuts: tuple[Book, ...] = ()
    """Numbers of each cut."""

    @property
    def work_zero(self) -> Pose:
        """The work frame in the machine frame."""
        return Pose.to(self.n.axis_x, self.n.axis_y, self.n.end_height)

    @property
    def frame(self) -> Pose:
        """The frame of jigs and piece in the work frame: a turn about z."""
        return Pose.turned("z", self.n.turn)

    def piece_pose(self, state: State) -> Pose:
        """The piece in the work frame."""
        at = self.piece_offset(state)
        return self.frame @ Pose.to(at.dx or 0.0, at.dy or 0.0, at.dz or 0.0)

    def piece_offset(self, state: State) -> Offset:
        """Where the jigs put the piece, from the work zero, in their frame.

        Undecided axes are zero.
        """
        at: dict[str, float] = {}
        for jig in self.jigs:
            offset = jig.kind.holds_piece(jig.n, state)
            for axis in ("dx", "dy", "dz"):
                value = getattr(offset, axis)
                if value is None:
                    continue
                if axis in at and abs(at[axis] - value) > 1e-9:
                    raise DesignError(
                        f"setup {self.name}", f"two jigs put the piece in different places ({axis})"
                    )
                at[axis] = value
        return Offset(at.get("dx", 0.0), at.get("dy", 0.0), at.get("dz", 0.0))


@dataclass(frozen=True)
class Design:
    """A job with all its numbers resolved. `changes` are what was tried in place of rules."""

    job: Job
    changes: Changes
    setups: tuple[Setup, ...]

    def jigs(self) -> Iterator[tuple[Setup, Jig]]:
        """Every jig with its setup."""
        for setup in self.setups:
            for jig in setup.jigs:
                yield setup, jig

    def book_of(self, of: str, name: str, governs: str = "") -> Book | None:
        """Who has the number that a finding about `of` (a jig or a setup) speaks of.

        The jig itself, then its setup's cuts, the one that governs first, then the other jigs,
        then setup, piece and machine. None where nobody has it.
        """
        for setup in self.setups:
            mine = [jig.n for jig in setup.jigs if jig.name == of]
            if not mine and setup.name != of:
                continue
            cuts = sorted(setup.cuts, key=lambda cut: not governs.startswith(cut.owner))
            others = [jig.n for jig in setup.jigs if jig.name != of]
            books = [*mine, *cuts, *others, setup.n, *setup.n.outer]
            if owner := next((book for book in books if name in book), None):
                return owner
            return setup.n if setup.n.finds(name) else None
        return None

    def numbers(self) -> dict[str, Number]:
        """Every number of every jig, by qualified name, in order."""
        found: dict[str, Number] = {}
        for _, jig in self.jigs():
            for name in jig.n:
                found[f"{jig.name}.{name}"] = jig.n[name]
        for setup in self.setups:
            for name in setup.n:
                found[f"{setup.name}.{name}"] = setup.n[name]
            for book in setup.n.outer:
                for name in book:
                    found.setdefault(f"{book.owner}.{name}", book[name])
        return found


def design(job: Job, changes: Changes | None = None) -> Design:
    """Resolve a job. Raises DesignError where a number cannot be had, with its name and reason."""
    changes = dict(changes or {})
    setups = [_setup(job, name, model, changes) for name, model in job.model.setups.items()]
    return Design(job, changes, tuple(setups))


def _setup(job: Job, name: str, model: SetupModel, changes: Changes) -> Setup:
    piece = job.model.pieces[model.piece]
    machine = Book(
        "machine", _tried(machine_facts(job.machine, job.where_machine), "machine", changes)
    )
    where_piece = _under(job, "pieces", model.piece)
    known = piece_facts(piece, where_piece, job.measured.of.get(model.piece))
    known.append(fact("own_woods", own_woods(job.model.woods), "what the user knows of own wood",
                      unit="", where=job.where("woods")))  # fmt: skip
    piece_book = Book(model.piece, _tried(known, model.piece, changes))
    facts = [fact("hardware", job.model.hardware, "hardware series", unit="",
                  where=job.where("hardware"))]  # fmt: skip
    facts.append(fact("shelf", _shelf(job), "bolts that you own; families not here are bought",
                      unit="", where=job.where("shelf")))  # fmt: skip
    facts += making_facts(job.machine, job.model.making, _under(job, "making"))
    for axis in ("x", "y"):
        at = getattr(model, axis)
        facts.append(fact(f"asked_{axis}", () if at is None else (at,),
                          f"where the user wants the axis along {axis}; empty = anywhere",
                          where=job.where("setups", name, axis)))  # fmt: skip
        if at is not None:
            facts.append(fact(f"axis_{axis}", at, f"axis along {axis}",
                              where=job.where("setups", name, axis)))  # fmt: skip
    cuts = tuple(_cut_book(job, cut, changes, piece_book) for cut in model.cuts)
    # Jigs are sized for the deepest cut; each cut is judged for itself.
    deepest = sorted(cuts, key=lambda cut: -cut.cut_depth)[:1]
    facts += heaviest_facts(cuts)
    shared = SetupBook(name, facts, [piece_book, machine, *deepest])
    jigs = tuple(_jig(job, job.instances[jig], shared, changes) for jig in model.jigs)
    shared.jigs = jigs
    setup = Setup(name, model, piece, shared, jigs, cuts)
    for jig in jigs:
        _resolve(jig, setup)
    return setup


def _cut_book(job: Job, name: str, changes: Changes, piece: Book) -> Book:
    cut = job.model.cuts[name]
    cutter = job.machine.cutters[cut.cutter]
    facts = [
        *cut_facts(cut, _under(job, "cuts", name)),
        *cutter_facts(cutter, lambda key: job.where_machine(f"cutters.{cut.cutter}.{key}")),
    ]
    given = {**cut_given(cut, _under(job, "cuts", name)), **_in_place(name, cut_rule, changes)}
    return Book(name, _tried(facts, name, changes), cut_rule, given, [piece])


def _in_place(owner: str, rules: Rules, changes: Changes) -> dict[str, Number]:
    """What is tried in the place of that owner's rules."""
    return {
        name: Number(name, value, "", Standing.GIVEN, where="tried")
        for name, value in _of(owner, changes).items()
        if name in rules.cards
    }


def _jig(job: Job, instance: Instance, shared: SetupBook, changes: Changes) -> Jig:
    kind = kinds()[instance.kind]
    stock = _stock(job, instance, changes)
    replaced = {**instance.replaced, **_in_place(instance.name, kind.rules, changes)}
    facts = list(kind.facts(instance.options)) + stock
    return Jig(instance.name, kind, Book(instance.name, facts, kind.rules, replaced, [shared]))


def _shelf(job: Job) -> tuple[tuple[str, str, tuple[float, ...]], ...]:
    """(family, size, lengths in mm) of what the user owns."""
    return tuple(
        (family, size, tuple(sorted(lengths)))
        for family, sizes in job.model.shelf.items()
        for size, lengths in sizes.items()
    )


def _stock(job: Job, instance: Instance, changes: Changes) -> list[Number]:
    """Facts of the sheets, boards and linings that this jig is cut from."""
    facts: list[Number] = []
    for option, mark in stock_options(instance.options).items():
        name = _chosen(job, instance, option, mark)
        if name:
            facts += _STOCK_FACTS[mark.section](job, option, name)
        elif mark.section == "boards":
            facts.append(fact("board_thickest", 0.0, "thickest board; 0 = not given"))
        else:
            raise DesignError(f"jigs.{instance.name}", *_STOCK_LACKS[mark.section])
    as_built = [_built(fact, instance.stock) for fact in facts]
    return _tried(as_built, instance.name, changes)


def _built(known: Number, stock: Mapping[str, Number]) -> Number:
    """A fact of the stock, or what was measured on the jig in its place."""
    by_hand = stock.get(known.name)
    if by_hand is None:
        return known
    return replace(known, value=by_hand.value, standing=by_hand.standing, where=by_hand.where,
                   source="", instead_of=known.value)  # fmt: skip


def _chosen(job: Job, instance: Instance, option: str, mark: FromStock) -> str:
    """The name that an option says, else what the option like it says, else the first."""
    said = getattr(instance.options, option) or (
        getattr(instance.options, mark.like) if mark.like else ""
    )
    return said or next(iter(getattr(job.model, mark.section)), "")


def _facts_of_sheet(job: Job, option: str, name: str) -> list[Number]:
    sheet = job.model.sheets[name]
    return [
        *sheet_facts(sheet, _under(job, "sheets", name), option),
        fact(f"{option}_name", name, "name of the sheet", unit="", where=job.where("sheets", name)),
    ]  # fmt: skip


def _facts_of_board(job: Job, option: str, name: str) -> list[Number]:
    return [fact(f"{option}_thickest", job.model.boards[name].thickest or 0.0,
                 "thickest board; 0 = not given",
                 where=job.where("boards", name, "thickest"))]  # fmt: skip


def _facts_of_lining(job: Job, option: str, name: str) -> list[Number]:
    lining = job.model.linings[name]
    return [
        *lining_facts(lining, _under(job, "linings", name)),
        fact(f"{option}_material", lining.material, "lining", unit="",
             where=job.where("linings", name)),
    ]  # fmt: skip


_STOCK_FACTS = {
    "sheets": _facts_of_sheet, "boards": _facts_of_board, "linings": _facts_of_lining
}  # fmt: skip
_STOCK_LACKS = {
    "sheets": ("is cut from sheet, and no sheet is listed",
               "sheets: {ply: {material: birch plywood, nominal: 18}}"),
    "linings": ("needs a lining, and none is listed", "linings: {rubber: {thickness: 3}}"),
}  # fmt: skip
"""What to say where a section of the stock is empty: reason and remedy."""


def _resolve(jig: Jig, setup: Setup) -> None:
    """Ask for every number once, so that what is missing is said here and not in the middle."""
    for name in jig.n:
        try:
            jig.n[name]
        except KeyError as missing:
            if not setup.cuts and missing.args[0] in CUT_NUMBERS:
                raise DesignError(
                    f"{jig.name}.{name}",
                    f"needs '{missing.args[0]}', and the setup has no cut",
                    f"setups: {{{setup.name}: {{cut: ...}}}}, one of cuts",
                ) from None
            raise DesignError(
                f"{jig.name}.{name}",
                f"needs '{missing.args[0]}', which neither the piece '{setup.model.piece}', the "
                "machine nor the other jigs of the setup have",
                "put a jig that decides it into the same setup",
            ) from None


def _under(job: Job, *keys: str) -> _Where:
    return _Where(job, keys)


@dataclass(frozen=True)
class _Where:
    job: Job
    keys: tuple[str, ...]

    def __call__(self, dotted: str) -> str:
        return self.job.where(*self.keys, *dotted.split("."))


def _of(owner: str, changes: Changes) -> dict[str, Value]:
    return {k.split(".", 1)[1]: v for k, v in changes.items() if k.split(".", 1)[0] == owner}


def _tried(facts: list[Number], owner: str, changes: Changes) -> list[Number]:
    mine = _of(owner, changes)
    return [replace(f, value=mine[f.name]) if f.name in mine else f for f in facts]
