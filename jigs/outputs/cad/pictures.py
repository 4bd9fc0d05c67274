"""Which pictures a build writes, what decides each of them, and how it is drawn."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property

from jigs.checks.dry_fit import GOES_TOGETHER
from jigs.checks.dry_fit import GROUP as DRY_FIT
from jigs.kept import Kept
from jigs.model.finding import Finding, Verdict
from jigs.model.pose import Vec
from jigs.model.state import SHOWN
from jigs.outputs.cad import picture
from jigs.outputs.cad.apart import Together, apart, together
from jigs.outputs.cad.cast import said, solid
from jigs.outputs.cad.composition import SIZE, Composition, Drawing, whole
from jigs.outputs.cad.exploded_page import compose_exploded
from jigs.outputs.cad.lines import line_view
from jigs.outputs.cad.moving_page import Motion, changeover, compose_motion, shows, stopped
from jigs.outputs.cad.page import painted
from jigs.outputs.cad.seeing import Meshes, view_of
from jigs.publish import Publication
from jigs.sizing import Jig, Setup
from jigs.solids.scene import PIECE, Scene, Standing

FROM_THE_FRONT: Vec = (1.0, -1.25, 0.85)
HALF_PAGE = (1000, 750)
"""Of pictures of moves, pixels: two stand on an A4 page."""

NO_GL_NOTE = f"pictures are line views (SVG): {picture.NO_GL_NOTE}"

Compose = Callable[[Meshes, bool], Composition]
"""Given meshes, and whether something can be painted here."""

Describe = Callable[[], object]


@dataclass(frozen=True)
class Painting:
    """A picture of a build, not drawn yet.

    Parameters: name = of its file, without ending; describe = tells what it shows; compose = lays
    it out; meshes = shared by all pictures of a build; paints = PNG, else a line view.
    """

    name: str
    describe: Describe = field(repr=False)
    compose: Compose = field(repr=False)
    meshes: Meshes = field(repr=False)
    paints: bool

    @cached_property
    def shows(self) -> object:
        """All that decides its bytes, besides this library and those it draws with.

        Its `repr` tells all of it, and no addresses.
        """
        return (self.describe(), self.paints)

    @property
    def file(self) -> str:
        """Where it stands in the export."""
        return f"pictures/{self.name}.{'png' if self.paints else 'svg'}"

    def found_or_painted(self, kept: Kept) -> bytes:
        """The bytes of its file."""
        data = kept.bytes_of("picture", (self.shows,), self.paint)
        assert data is not None
        return data

    def paint(self) -> bytes:
        """Draw it; the bytes of its file."""
        composed = self.compose(self.meshes, self.paints)
        if self.paints:
            return painted(composed, self.meshes).png()
        return line_view(composed).encode("utf-8")


def pictures(scene: Scene, findings: Sequence[Finding] = ()) -> list[Painting]:
    """Every picture of a build, in order; nothing is drawn, and no solid is built for it.

    Of each jig the whole, and the exploded view if it has more than one part; of each setup the
    whole on the machine, every move of the changeover, and where the dry fit is not met each move
    that stops, at that moment. Where the findings say that there was no dry fit, jigs are drawn
    apart as their moves are declared.
    """
    meshes, paints = Meshes(scene.kept), picture.gl_ok()
    return [
        Painting(name, describe, compose, meshes, paints)
        for name, describe, compose in _wanted(scene, findings)
    ]


def write_pictures(
    scene: Scene,
    out: Publication,
    findings: Sequence[Finding] = (),
    say: Callable[[str], None] = lambda step: None,
) -> list[str]:
    """Write `pictures/<name>.png`, or .svg line views where nothing can be painted.

    Parameters: findings = those of the dry fit ask for pictures of what stops; say = told what is
    being drawn.
    Returns: notes for the user.
    """
    every = pictures(scene, findings)
    for number, painting in enumerate(every, 1):
        say(f"drawing picture {number} of {len(every)}: {painting.name}")
        out.write_bytes(painting.file, painting.found_or_painted(scene.kept))
    return [] if all(painting.paints for painting in every) else [NO_GL_NOTE]


def _wanted(scene: Scene, findings: Sequence[Finding]) -> Iterator[tuple[str, Describe, Compose]]:
    """Name, what it shows, and how to compose it, of every picture."""
    dry_fit = [f for f in findings if f.group == DRY_FIT]
    stops = any(f.verdict is Verdict.NOT_MET for f in dry_fit)
    tried = not any(f.check == GOES_TOGETHER and f.verdict is Verdict.NOT_JUDGED for f in dry_fit)
    for setup in scene.design.setups:
        for jig in setup.jigs:
            yield jig.name, *_beauty(scene, setup, jig)
            if len(jig.poses(SHOWN)) > 1:
                yield f"{jig.name} apart", *_exploded(scene, setup, jig, tried)
        on_machine = _whole(scene.standing(setup, SHOWN), FROM_THE_FRONT)
        yield f"{setup.name} on the machine", *on_machine
        motions = changeover(setup)
        if stops:
            motions += stopped(setup, scene.rehearsal)
        for motion in motions:
            yield motion.name, *_moving(scene, motion)


def _beauty(scene: Scene, setup: Setup, jig: Jig) -> tuple[Describe, Compose]:
    """A jig with the piece in it."""
    own = [s for s in scene.standing(setup, SHOWN) if s.jig == jig.name or s.name == PIECE]
    return _whole(own, jig.frame.rotate(jig.kind.seen_from))


def _whole(standing: Sequence[Standing], seen_from: Vec) -> tuple[Describe, Compose]:
    """Things as they stand, filling the page."""

    def compose(meshes: Meshes, _: bool) -> Composition:
        solids = tuple(solid(s) for s in standing)
        view = view_of(solids, meshes, seen_from, SIZE)
        return Composition(SIZE, (Drawing(solids, view, whole(SIZE)),))

    return lambda: ("whole", said(standing), seen_from), compose


def _exploded(scene: Scene, setup: Setup, jig: Jig, tried: bool) -> tuple[Describe, Compose]:
    """A jig drawn apart; its order is asked for once, and not before somebody wants to know."""
    seen_from = jig.frame.rotate(jig.kind.seen_from)

    @cache
    def parts() -> Together:
        return together(scene, setup, jig, tried=tried)

    def compose(meshes: Meshes, paints: bool) -> Composition:
        return compose_exploded(apart(scene, parts()), seen_from, SIZE, meshes, sees=paints)

    return lambda: ("apart", parts().shows, seen_from), compose


def _moving(scene: Scene, motion: Motion) -> tuple[Describe, Compose]:
    """A unit where it starts and where it ends."""

    def compose(meshes: Meshes, _: bool) -> Composition:
        return compose_motion(scene, motion, FROM_THE_FRONT, HALF_PAGE, meshes)

    return lambda: ("move", shows(scene, motion)), compose
