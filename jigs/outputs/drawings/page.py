"""One part on one sheet: scale, places of the views, dimensions, numbers of the cuts, grain."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from jigs.errors import ExportError
from jigs.model.outline import Outline, Point, Side
from jigs.model.part import Face, Part
from jigs.outputs.drawings import dimensions as dim
from jigs.outputs.drawings.flat import Edge
from jigs.outputs.drawings.frame import (
    INNER,
    TITLE_TOP,
    Block,
    draw_notes,
    draw_table,
    fitted,
    table_height,
)
from jigs.outputs.drawings.grid import Grid, around
from jigs.outputs.drawings.paper import Arrow, Box, Pen, Round, Sheet, Stroke, Text
from jigs.outputs.drawings.rows import Row, rows_of, told
from jigs.outputs.drawings.views import View, is_long, views_of
from jigs.units import Units

SCALES = (1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 50.0)
"""Reductions 1 : n of ISO 5455; 2.5 is common on bench drawings, no source."""

_BETWEEN, _AROUND = 12.0, 9.0  # mm between views, and beside them for the numbers of cuts
_TAG, _OVER = 3.2, 2.0
_SAME = 1e-6
_OWN = 0.8
"""A number lies nearer to its own cut than this share of the way to any other."""

_SMALL_ENOUGH, _LITTLE_LESS = 2.0, 1.3
"""The table goes on the same sheet where views are at 1 : 2 or larger, or hardly smaller than
without it; else on a sheet of its own."""

_ACROSS = {Face.LEFT: Face.RIGHT, Face.RIGHT: Face.LEFT, Face.FRONT: Face.BACK,
           Face.BACK: Face.FRONT, Face.TOP: Face.TOP, Face.BOTTOM: Face.TOP}  # fmt: skip


@dataclass(frozen=True)
class Task:
    """What is to be drawn: the part as it is made, what the title block says, notes, grain."""

    name: str
    part: Part
    block: Block
    notes: tuple[str, ...]
    grain: str
    units: Units


@dataclass(frozen=True)
class _Layout:
    scale: float
    corners: Mapping[Face, Point]


@dataclass(frozen=True)
class _Mark:
    """What a number points to: a circle on the paper, or a place where the radius is 0, mm."""

    at: Point
    reach: float

    def away(self, p: Point) -> float:
        """How far outside a point lies."""
        return math.dist(self.at, p) - self.reach

    def towards(self, p: Point) -> Point:
        """The place on the circle that is nearest to a point."""
        far = math.dist(self.at, p)
        return (self.at[0] + (p[0] - self.at[0]) / far * self.reach,
                self.at[1] + (p[1] - self.at[1]) / far * self.reach)  # fmt: skip


def sheets_of(task: Task) -> list[Sheet]:
    """The sheets of a part: one, and more where its table of cuts is long.

    Raises ExportError for a part that is too large for the smallest scale.
    """
    rows = rows_of(task.part, task.units)
    cells = [fitted(row) for row in rows]
    sheet = Sheet(task.name, f"{task.block.jig}: {task.block.part}")
    floor = draw_notes(sheet, task.notes, TITLE_TOP)
    steps = dim.steps_of(_outline(task.part))
    tries = [views_of(task.part, down) for down in (False, True)[: 1 + is_long(task.part)]]
    views, layout = _largest(task, tries, steps, _room(task, floor))
    with_table = _with_table(task, tries, steps, floor + table_height(cells), layout.scale)
    if rows and with_table is not None:
        floor = draw_table(sheet, cells, floor)
        views, layout = with_table
    _draw_views(sheet, task, rows, views, layout)
    sheet.scale = f"1 : {layout.scale:g}"
    for i, row in enumerate(rows):
        sheet.figures |= {f"cut {i + 1} {name}": value for name, value in row.figures.items()}
    return [sheet, *([] if with_table is not None else _tables(task, cells))]


def _largest(
    task: Task, tries: Sequence[dict[Face, View]], steps: dim.Steps, room: Box
) -> tuple[dict[Face, View], _Layout]:
    """The views, and where they lie; of a long part those that allow the larger scale."""
    laid = [(views, _laid_out(task, views, steps, room)) for views in tries]
    return min(laid, key=lambda found: found[1].scale)


def _room(task: Task, floor: float) -> Box:
    return (INNER[0], floor + 2.0, INNER[2], INNER[3] - (10.0 if task.block.loud else 1.0))


def _with_table(
    task: Task, tries: Sequence[dict[Face, View]], steps: dim.Steps, floor: float, best: float
) -> tuple[dict[Face, View], _Layout] | None:
    """The layout above the table; none where the views would come out too small beside it."""
    room = _room(task, floor)
    for scale in SCALES:
        if scale <= max(_SMALL_ENOUGH, _LITTLE_LESS * best) + _SAME:
            for views in tries:
                found = _at_scale(task, views, steps, room, scale)
                if found is not None:
                    return views, found
    return None


def _outline(part: Part) -> Outline:
    assert part.outline is not None
    return part.outline


def _tables(task: Task, cells: Sequence[tuple[tuple[str, ...], ...]]) -> list[Sheet]:
    """The table of cuts on sheets of its own."""
    pages: list[list[tuple[tuple[str, ...], ...]]] = [[]]
    top = INNER[3] - (10.0 if task.block.loud else 0.0)
    most = top - draw_notes(Sheet("", ""), task.notes, TITLE_TOP) - 2.0
    for row in cells:
        if table_height([*pages[-1], row]) > most:
            pages.append([])
        pages[-1].append(row)
    found = []
    for i, page in enumerate(pages, 1):
        title = f"{task.block.jig}: {task.block.part}, table"
        sheet = Sheet(f"{task.name} table {i}", title, scale="none")
        draw_notes(sheet, task.notes, TITLE_TOP)
        draw_table(sheet, page, top, hanging=True)
        found.append(sheet)
    return found


def _draw_views(
    sheet: Sheet, task: Task, rows: Sequence[Row], views: Mapping[Face, View], layout: _Layout
) -> None:
    steps = dim.steps_of(_outline(task.part))
    k, corners = 1 / layout.scale, layout.corners
    for face, view in views.items():
        _draw_view(sheet, view, corners[face], k)
    first = corners[Face.TOP]
    dim.across(sheet, first, steps.x, k, task.units, views[Face.TOP].size[1] * k)
    dim.upwards(sheet, first, steps.y, k, task.units)
    _thickness(sheet, task, views, corners, k)
    sheet.entities.append(Text((first[0] - 2.0, first[1] - 4.2), "0", _TAG, "right"))
    grid = Grid(sheet.entities)
    _grain(sheet, grid, task, views, layout)
    marks = [_mark(row, views, layout) for row in rows]
    for number, mark in enumerate(marks, 1):
        _tag(sheet, grid, str(number), mark, [m for m in marks if m is not mark])


def _thickness(
    sheet: Sheet, task: Task, views: Mapping[Face, View], corners: Mapping[Face, Point], k: float
) -> None:
    for face in (Face.LEFT, Face.RIGHT):
        if face in views:
            wide = views[face].size[0] * k
            dim.thickness_below(sheet, corners[face], wide, task.part.thickness, task.units,
                                to_left=face is Face.RIGHT)  # fmt: skip
            return
    face = Face.BACK if Face.BACK in views else Face.FRONT
    wide, high = (v * k for v in views[face].size)
    right = (corners[face][0] + wide, corners[face][1])
    dim.thickness_beside(sheet, right, high, task.part.thickness, task.units)


def _laid_out(task: Task, views: Mapping[Face, View], steps: dim.Steps, room: Box) -> _Layout:
    """The largest scale at which all goes into the room, and the views' lower left corners."""
    for scale in SCALES:
        found = _at_scale(task, views, steps, room, scale)
        if found is not None:
            return found
    raise ExportError(f"{task.name}: is too large to be drawn on A4 at 1 : {SCALES[-1]:g}")


def _at_scale(
    task: Task, views: Mapping[Face, View], steps: dim.Steps, room: Box, scale: float
) -> _Layout | None:
    k, units = 1 / scale, task.units
    size = {face: (view.size[0] * k, view.size[1] * k) for face, view in views.items()}
    left = max(dim.room(len(steps.y)), dim.room_for_texts(steps.x, k, units)) + _AROUND / 2
    above = dim.room(len(steps.x)) + _AROUND / 2
    below = max(dim.room_for_texts(steps.y, k, units), _AROUND)
    right = _AROUND + _BETWEEN / 2
    thick = Text((0, 0), told(task.part.thickness, units), dim.SIZE).width + 6.0
    wide, high = size[Face.TOP]
    x, y = left, below
    if Face.RIGHT in size:
        x = left + size[Face.RIGHT][0] + _BETWEEN
        beside = dim.room_for_thickness(size[Face.RIGHT][0], task.part.thickness, units)
        x += 0.0 if Face.LEFT in size or not beside else max(beside - _BETWEEN + _AROUND, 0.0)
    under = 0.0
    if Face.BACK in size:
        y = max(_AROUND + size[Face.BACK][1] + _BETWEEN, below)
        under = y
    if Face.LEFT in size or Face.RIGHT in size:
        y = max(y, dim.FIRST + 6.0)
    total_x, total_y = x + wide, y + high + above
    corners = {Face.TOP: (x, y)}
    if Face.RIGHT in size:
        corners[Face.RIGHT] = (x - left - size[Face.RIGHT][0] + _AROUND / 2 - 6.0, y)
    if Face.LEFT in size:
        corners[Face.LEFT] = (total_x + _BETWEEN + _AROUND / 2, y)
        total_x = corners[Face.LEFT][0] + size[Face.LEFT][0]
        beside = dim.room_for_thickness(size[Face.LEFT][0], task.part.thickness, units)
        total_x += max(beside, _AROUND / 2)
    if Face.BACK in size:
        corners[Face.BACK] = (x, under - _BETWEEN - size[Face.BACK][1])
        if Face.LEFT not in size and Face.RIGHT not in size:
            total_x = max(total_x, x + wide + dim.FIRST + thick)
    if Face.FRONT in size:
        corners[Face.FRONT] = (x, y + high + above)
        total_y += size[Face.FRONT][1] + _AROUND
        if Face.LEFT not in size and Face.RIGHT not in size:
            total_x = max(total_x, x + wide + dim.FIRST + thick)
    total_x = max(total_x, x + wide + right)
    spare_x, spare_y = room[2] - room[0] - total_x, room[3] - room[1] - total_y
    if spare_x < 0 or spare_y < 0:
        return None
    shift = (room[0] + spare_x / 2, room[1] + spare_y / 2)
    return _Layout(scale, {f: (c[0] + shift[0], c[1] + shift[1]) for f, c in corners.items()})


class _Onto:
    """Maps a view's mm of the part onto the paper."""

    def __init__(self, view: View, corner: Point, k: float) -> None:
        self.view, self.corner, self.k = view, corner, k

    def __call__(self, p: Point) -> Point:
        return (self.corner[0] + (p[0] - self.view.low[0]) * self.k,
                self.corner[1] + (p[1] - self.view.low[1]) * self.k)  # fmt: skip

    def side(self, side: Side) -> Side:
        return Side(self(side.start), self(side.end), side.bulge)


def _draw_view(sheet: Sheet, view: View, corner: Point, k: float) -> None:
    onto = _Onto(view, corner, k)
    for edge in view.edges:
        sheet.entities.append(Stroke(_pen(edge), onto.side(edge.side)))
    for centre, radius, hidden in view.rounds:
        pen = Pen.HIDDEN if hidden else Pen.VISIBLE
        sheet.entities.append(Round(pen, onto(centre), radius * k))
    for centre, radius in view.crosses:
        (x, y), reach = onto(centre), radius * k + _OVER
        for ux, uy in (
            (1.0, 0.0),
            (-1.0, 0.0),
            (0.0, 1.0),
            (0.0, -1.0),
        ):  # from the middle: dashes cross there
            sheet.line(Pen.CENTRE, (x, y), (x + ux * reach, y + uy * reach))
    for a, b in view.axes:
        (x0, y0), (x1, y1) = onto(a), onto(b)
        away = math.dist((x0, y0), (x1, y1)) or 1.0
        ux, uy = (x1 - x0) / away * _OVER, (y1 - y0) / away * _OVER
        sheet.line(Pen.CENTRE, (x0 - ux, y0 - uy), (x1 + ux, y1 + uy))


def _pen(edge: Edge) -> Pen:
    return Pen.HIDDEN if edge.hidden else Pen.VISIBLE


def _grain(
    sheet: Sheet, grid: Grid, task: Task, views: Mapping[Face, View], layout: _Layout
) -> None:
    """An arrow both ways along the grain, on the first view that shows it, where there is room."""
    if not task.grain:
        return
    beside = Face.LEFT if Face.LEFT in views else Face.BACK
    face = Face.TOP if task.grain in ("x", "y") else beside
    if face not in views:
        return
    view, corner = views[face], layout.corners[face]
    upright = task.grain == "y" or face is Face.BACK
    onto = _Onto(view, corner, 1 / layout.scale)
    middle = onto(((view.low[0] + view.high[0]) / 2, (view.low[1] + view.high[1]) / 2))
    word = Text((0.0, 0.0), "grain", 3.0)
    long, wide = word.width + 4.0, 5.2
    for x, y in (middle, *around(middle, 3.0, 90.0)):
        w, h = (wide, long) if upright else (long, wide)
        box = (x - w / 2, y - h / 2, x + w / 2, y + h / 2)
        if not (INNER[0] < box[0] and box[2] < INNER[2] and grid.free(box)):
            continue
        if upright:
            ends, at = ((x + 1.4, y - h / 2), (x + 1.4, y + h / 2)), (x + 0.4, y)
        else:
            ends, at = ((x - w / 2, y - 1.4), (x + w / 2, y - 1.4)), (x, y - 0.4)
        text = Text(at, "grain", 3.0, "middle", upright)
        turn = math.pi / 2 if upright else 0.0
        sheet.line(Pen.DIMENSION, *ends)
        sheet.entities += [Arrow(ends[1], turn, 2.0), Arrow(ends[0], turn + math.pi, 2.0), text]
        grid.take(box)
        return


def _mark(row: Row, views: Mapping[Face, View], layout: _Layout) -> _Mark:
    """Where on the paper a cut is."""
    face = row.face if row.face in views else _ACROSS[row.face]
    view = views.get(face, views[Face.TOP])
    at = view.place(row.at) if face is not Face.TOP else row.at
    onto = _Onto(view, layout.corners[view.face], 1 / layout.scale)
    return _Mark(onto(at), row.reach / layout.scale)


def _tag(sheet: Sheet, grid: Grid, number: str, mark: _Mark, others: Sequence[_Mark]) -> None:
    """The number of a cut with a line to it, at the nearest free place; not nearer to another."""
    wide = Text((0.0, 0.0), number, _TAG).width
    places = list(around(mark.at, mark.reach + 3.5, mark.reach + 80.0))
    own = [p for p in places if all(mark.away(p) < _OWN * other.away(p) for other in others)]
    for p in (*own, *places):
        box = (p[0] - wide / 2 - 0.5, p[1] - 1.5, p[0] + wide / 2 + 0.5, p[1] + 2.1)
        if not (INNER[0] + 1 < box[0] and box[2] < INNER[2] - 1 and grid.free(box)):
            continue
        start = mark.towards(p)
        end = _to_box((p[0], p[1] + 0.3), mark.at, (wide / 2 + 0.9, 2.3))
        crosses = grid.crosses_text(start, end)
        if math.dist(end, p) < mark.away(p) and not crosses:
            sheet.line(Pen.DIMENSION, start, end)
        elif math.dist(start, end) > 0.5 and crosses:
            continue
        sheet.entities.append(Text((p[0], p[1] - 0.9), number, _TAG, "middle"))
        if not mark.reach:
            sheet.entities.append(Round(Pen.DIMENSION, start, 0.4))
        for entity in sheet.entities[-3:]:
            grid.add(entity)
        return


def _to_box(middle: Point, towards: Point, half: Point) -> Point:
    """Where a line from the middle of a box leaves it on the way to another point."""
    dx, dy = towards[0] - middle[0], towards[1] - middle[1]
    share = min(half[0] / abs(dx) if dx else math.inf, half[1] / abs(dy) if dy else math.inf)
    return (middle[0] + dx * share, middle[1] + dy * share)
