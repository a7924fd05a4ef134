"""Strips that lie on an edge, told by what shows of them: two faces of like width that catch the light differently.

A strip that lies flat shows its top and, off to one side, the flank that faces the camera; where the two meet follows
from how thick it is. One that was rolled onto an edge shows two faces and a ridge between them that lies near its
middle, from where the camera stands a little further out. Its width is then that across its corners.
"""

from dataclasses import replace

import numpy as np

from grader.card.model import Camera
from grader.fries.across import LightAcross
from grader.fries.edge_heights import Section
from grader.fries.geometry import StripGeometry, measure_strip
from grader.fries.outline import Outline

_ROUNDS = 2
_CELLS = 48
"""Across the fry, from side to side."""
_RIDGE_WITHIN = 0.125
"""Of the width: so near a ridge lies to where that of a strip on its edge must (45 degrees, give or take 10)."""
_BESIDE = 0.13
_STANDS_OUT = 0.05
"""Natural log of light: so much brighter is the ridge than the face to either side, `_BESIDE` widths away. On 30
rendered strips on an edge 0.05 to 0.5; on a flat top 0 to 0.03."""
_DARKEST_FACE = 0.8
"""A flank gets less light still: 0.8 to 1.8 below the top face."""
_NARROW_ONE = 33.0
"""Percentile of a plate's widths that is taken for that of a strip lying flat, however many lie otherwise."""
_ACROSS_CORNERS = 1.17
"""So much wider than it is one on its edge at least. A square is 1.41 times as wide across its corners; with ridge and
width together 36 of 39 rendered strips on an edge were told, and 12 of 1007 flat ones."""


def strips_on_edge(
    lights: dict[int, LightAcross | None],
    outlines: dict[int, Outline],
    strips: dict[int, StripGeometry],
    camera: Camera,
    *,
    ground: tuple[float, float],
) -> dict[int, StripGeometry]:
    """Of a plate's fries those that lie on an edge, by number, as wide as across their corners.

    Parameters
    ----------
    lights, outlines, strips
        Of all its fries that are bars, by number, taken to lie flat.
    camera
        Pose over the sheet.
    ground
        How high over the sheet the fries lie, mm, and how sure that is.
    """
    if not strips:
        return {}
    flat_mm = float(np.percentile([strip.width_mm for strip in strips.values()], _NARROW_ONE))
    found = {}
    for number, strip in strips.items():
        if _lies_on_edge(lights[number]):
            width_mm = _across_corners(outlines[number], strip, camera, ground)
            if width_mm > _ACROSS_CORNERS * flat_mm:
                found[number] = replace(strip, width_mm=width_mm, section=replace(strip.section, on_edge=True))
    return found


def _across_corners(outline: Outline, strip: StripGeometry, camera: Camera, ground: tuple[float, float]) -> float:
    """Mm, both sides taken to be seen half way up."""
    for _ in range(_ROUNDS):
        section = Section(edges_mm=np.full(len(outline.points_px), strip.width_mm / 2))
        strip = measure_strip(
            outline, camera, ground_mm=ground[0], ground_u_mm=ground[1], width_mm=strip.width_mm, section=section
        )
    return strip.width_mm


def _lies_on_edge(seen: LightAcross | None) -> bool:
    """Whether a fry lies on one of its edges, by the light across it."""
    if seen is None:
        return False
    light = np.interp(np.linspace(0, 1, _CELLS), np.linspace(0, 1, len(seen.log_light)), seen.log_light)
    expected = round((0.5 + 0.5 * seen.leaning) * (_CELLS - 1))
    within, beside = round(_RIDGE_WITHIN * _CELLS), round(_BESIDE * _CELLS)
    low, high = max(expected - within, beside), min(expected + within, _CELLS - 1 - beside)
    if low >= high:
        return False
    ridge = low + int(np.argmax(light[low : high + 1]))
    faces = light[ridge - beside], light[ridge + beside]
    return bool(light[ridge] - max(faces) > _STANDS_OUT and light[ridge] - min(faces) < _DARKEST_FACE)
