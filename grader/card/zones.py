"""Where a sheet carries its rules and small print, and where to look at the light on its bare paper and field."""

from functools import cache

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.card.model import Layout, Rectangle

RULE_MM = 100.0
_RULE_DEPTH_MM = 4.0

_BARE_CLEARANCE_MM = 1.15
"""From a spot's middle to the next print: gaps between patches are 2.4 mm wide, and a spot is read 0.5 mm wide."""
_EDGE_CLEARANCE_MM = 2.0
_BARE_STEP_MM = 1.0
_BARE_CELL_MM = 5.0
_FIELD_CLEARANCE_MM = 3.0
_FIELD_STEP_MM = 6.0


def rule_areas(layout: Layout) -> tuple[Rectangle, ...]:
    """Where 100 mm rules are printed, the level one first: a printer may stretch one way only, so a mat has two.

    A card has one along its foot. It is too low for an upright one, so the page that it is cut from has that.
    """
    if layout.field is None:
        return (Rectangle(x_mm=24, y_mm=layout.height_mm - 7.5, width_mm=RULE_MM, height_mm=_RULE_DEPTH_MM),)
    below = layout.field.y_mm + layout.field.height_mm
    level = Rectangle(x_mm=30, y_mm=below + 2.5, width_mm=RULE_MM, height_mm=_RULE_DEPTH_MM)
    if layout.qr is None:
        return (level,)
    left = layout.field.x_mm - 2.5 - _RULE_DEPTH_MM
    return level, Rectangle(x_mm=left, y_mm=layout.field.y_mm, width_mm=_RULE_DEPTH_MM, height_mm=RULE_MM)


def print_area(layout: Layout) -> Rectangle:
    """Where the small print stands: on a card above the rule, on a mat beside the rule that lies below the field."""
    rule = rule_areas(layout)[0]
    if layout.field is None:
        height = 8 if layout.qr is None else 14
        return Rectangle(x_mm=rule.x_mm, y_mm=rule.y_mm - height - 2, width_mm=RULE_MM, height_mm=height)
    if layout.qr is None:
        return Rectangle(x_mm=layout.width_mm - 30 - RULE_MM, y_mm=rule.y_mm - 1, width_mm=RULE_MM, height_mm=8)
    left = rule.x_mm + RULE_MM + 8
    return Rectangle(x_mm=left, y_mm=rule.y_mm - 1, width_mm=layout.width_mm - 28 - left, height_mm=10)


@cache
def bare_spots_mm(layout: Layout) -> FloatArray:
    """(n, 2) spots of bare paper, clear of every print and of the sheet's edge: the clearest of each 5 mm square."""
    tag = layout.tag_size_mm
    printed = [patch.area for patch in layout.patches]
    printed += [Rectangle(x_mm=t.x_mm, y_mm=t.y_mm, width_mm=tag, height_mm=tag) for t in layout.tags]
    printed += [*rule_areas(layout), print_area(layout)]
    if layout.qr:
        printed.append(layout.qr)
    if layout.field:
        printed.append(layout.field)
    x = np.arange(_EDGE_CLEARANCE_MM, layout.width_mm - _EDGE_CLEARANCE_MM, _BARE_STEP_MM)
    y = np.arange(_EDGE_CLEARANCE_MM, layout.height_mm - _EDGE_CLEARANCE_MM, _BARE_STEP_MM)
    spots = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    clearance = np.min([distance_mm(spots, area) for area in printed], axis=0)
    order = np.argsort(-clearance, kind="stable")
    order = order[clearance[order] >= _BARE_CLEARANCE_MM]
    _, first = np.unique(spots[order] // _BARE_CELL_MM, axis=0, return_index=True)
    return frozen(spots[order[first]])


@cache
def field_spots_mm(layout: Layout) -> FloatArray:
    """(n, 2) spots all over a mat's field; (0, 2) on a card."""
    if layout.field is None:
        return np.empty((0, 2))
    return frozen(_grid(layout.field, _FIELD_CLEARANCE_MM, _FIELD_STEP_MM))


def _grid(area: Rectangle, inset: float, step: float) -> FloatArray:
    columns, rows = (round((side - 2 * inset) / step) + 1 for side in (area.width_mm, area.height_mm))
    x = area.x_mm + np.linspace(inset, area.width_mm - inset, columns)
    y = area.y_mm + np.linspace(inset, area.height_mm - inset, rows)
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)


def distance_mm(points: FloatArray, area: Rectangle) -> FloatArray:
    """(n,) from points to a rectangle; 0 inside."""
    past = [
        np.maximum(np.maximum(low - points[:, axis], points[:, axis] - (low + size)), 0)
        for axis, (low, size) in enumerate([(area.x_mm, area.width_mm), (area.y_mm, area.height_mm)])
    ]
    return np.hypot(past[0], past[1])
