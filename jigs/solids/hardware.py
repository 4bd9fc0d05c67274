"""Bought parts as solids, each family from its table sizes. Heads lie below z = 0, shanks above;
nuts, washers, inserts and rods stand on z = 0.

Threads are drawn as plain cylinders of the thread's diameter, so that a bolt and its nut touch.
"""

from __future__ import annotations

from collections.abc import Callable

import cadquery as cq

from jigs.model.outline import Outline, arc_bulge
from jigs.model.part import Bought
from jigs.solids.shapes import cylinder, flat, swept, turned, upright_x


def is_drawn(made: Bought) -> bool:
    """Has a bought part a solid? Springs are listed, not drawn: they change with the state."""
    return made.family in _FAMILIES and bool(made.dims)


def hardware_solid(made: Bought) -> cq.Shape:
    """The solid of a bought part that is drawn."""
    return _FAMILIES[made.family](made)


def _hex_screw(b: Bought) -> cq.Shape:
    head = swept(Outline.polygon(0, 0, b["across_flats"]), flat(-b["head_height"]),
                 (0, 0, b["head_height"]))  # fmt: skip
    return _one(head.fuse(cylinder(b["diameter"], 0, b["length"])))


def _socket_screw(b: Bought) -> cq.Shape:
    head, shank, k = b["head_diameter"] / 2, b["diameter"] / 2, b["head_height"]
    body = turned(
        Outline.of([(0, -k), (head, -k), (head, 0), (shank, 0), (shank, b["length"]),
                    (0, b["length"])])
    )  # fmt: skip
    key = swept(Outline.polygon(0, 0, b["socket_size"]), flat(-k), (0, 0, b["socket_depth"]))
    return _one(body.cut(key))


def _coach_bolt(b: Bought) -> cq.Shape:
    r, k = b["head_diameter"] / 2, b["head_height"]
    sphere = (r * r + k * k) / (2 * k)
    bulge = arc_bulge((0.0, -k), (r, 0.0), (0.0, sphere - k), left=True)
    head = turned(Outline.of([(0, -k, bulge), (r, 0), (0, 0)]))
    w, v = b["neck_width"] / 2, b["neck_depth"]
    neck = swept(Outline.rectangle(-w, -w, w, w), flat(0), (0, 0, v))
    return _one(head.fuse(neck, cylinder(b["diameter"], 0, b["length"])))


def _t_slot_bolt(b: Bought) -> cq.Shape:
    w, k = b["head_width"] / 2, b["head_height"]
    head = swept(Outline.rectangle(-w, -w, w, w), flat(-k), (0, 0, k))
    return _one(head.fuse(cylinder(b["diameter"], 0, b["length"])))


def _t_slot_nut(b: Bought) -> cq.Shape:
    foot, neck, step, top = b["foot_width"] / 2, b["throat"] / 2, b["foot_height"], b["height"]
    section = Outline.of([(-foot, 0), (foot, 0), (foot, step), (neck, step), (neck, top),
                          (-neck, top), (-neck, step), (-foot, step)])  # fmt: skip
    body = swept(section, upright_x(-foot), (0, 2 * foot, 0))
    return _one(body.cut(cylinder(b["diameter"], -1, top + 1)))


def _hex_nut(b: Bought) -> cq.Shape:
    body = swept(Outline.polygon(0, 0, b["across_flats"]), flat(0), (0, 0, b["height"]))
    return _one(body.cut(cylinder(b["diameter"], -1, b["height"] + 1)))


def _washer(b: Bought) -> cq.Shape:
    return _ring(b["hole"], b["outer"], b["height"])


def _insert(b: Bought) -> cq.Shape:
    return _ring(b["diameter"], b["outer"], b["length"])


def _rod(b: Bought) -> cq.Shape:
    return cylinder(b["diameter"], 0, b["length"])


def _wood_screw(b: Bought) -> cq.Shape:
    head, core, length = b["head_diameter"] / 2, b["core"] / 2, b["length"]
    tall = head - core
    return turned(
        Outline.of([(0, 0), (head, 0), (core, tall), (core, length - 2 * core), (0, length)])
    )


def _ring(inner: float, outer: float, height: float) -> cq.Shape:
    return turned(Outline.rectangle(inner / 2, 0, outer / 2, height))


def _one(shape: cq.Shape) -> cq.Shape:
    return shape.Solids()[0]


_FAMILIES: dict[str, Callable[[Bought], cq.Shape]] = {
    "hex bolt": _hex_screw,
    "hex screw": _hex_screw,
    "socket screw": _socket_screw,
    "coach bolt": _coach_bolt,
    "T-slot bolt": _t_slot_bolt,
    "T-slot nut": _t_slot_nut,
    "hex nut": _hex_nut,
    "washer": _washer,
    "insert": _insert,
    "dowel": _rod,
    "threaded rod": _rod,
    "wood screw": _wood_screw,
}
