"""Every fry of a plate measured by what the plate, and its own outline, say of its cross-section.

How thick a fry is doesn't show. One that looks narrow may be thin, or a strip that stands on its narrow side; one that
looks wide may lie flat or on its edge. The other fries of its plate were cut alike: their usual width is the better
guess of how thick it is than its own.
"""

import numpy as np

from grader.arrays import FloatArray, LabelArray, PixelArray
from grader.card.model import Camera
from grader.fries.across import light_across
from grader.fries.curved_frame import CurvedFrame
from grader.fries.edge_heights import Section, lines_of
from grader.fries.flanks import thickness_by_flank
from grader.fries.forms import StripForm, find_forms
from grader.fries.geometry import StripGeometry, conclude, measure_strip
from grader.fries.on_edge import strips_on_edge
from grader.fries.outline import Outline
from grader.fries.wedges import wedge_edges

_LEAST_BARS = 4
"""Fewer don't tell what is usual on a plate: then each is as thick as it is wide."""
_BAR_MISFIT = 0.15
_THICKNESS_RANGE = 0.4, 1.6


def measure_strips(
    outlines: dict[int, Outline], camera: Camera, *, ground_mm: float, ground_u_mm: float, cut_width_mm: float
) -> dict[int, StripGeometry]:
    """By number, the geometry of every fry of a plate.

    Parameters
    ----------
    outlines
        In the photo.
    camera
        Pose over the sheet.
    ground_mm, ground_u_mm
        How high over the sheet the fries lie, and how sure that is.
    cut_width_mm
        What they were cut to.
    """
    if not outlines:
        return {}
    lines, widths = lines_of(list(outlines.values()), camera), [cut_width_mm] * len(outlines)
    bars = find_forms(lines, ground_mm=ground_mm, widths_mm=widths, sections=[Section()] * len(outlines))
    first = [bar.form for bar in bars]
    usual_mm = _usual_width(first, cut_width_mm)
    sections = [Section(thickness_mm=usual_mm) if edges is None else _wedge(edges) for edges in wedge_edges(first)]
    forms = find_forms(lines, ground_mm=ground_mm, widths_mm=widths, sections=sections)
    return {
        number: conclude(form, outline, camera, ground_mm=ground_mm, ground_u_mm=ground_u_mm)
        for (number, outline), form in zip(outlines.items(), forms, strict=True)
    }


def measure_as_seen(
    pixels: PixelArray,
    labels: LabelArray,
    outlines: dict[int, Outline],
    strips: dict[int, StripGeometry],
    camera: Camera,
    *,
    ground: tuple[float, float],
) -> dict[int, StripGeometry]:
    """The geometry of a plate's fries once more, by what the photo shows of their faces: on an edge, thick, thin.

    Parameters
    ----------
    pixels, labels
        (h, w, 3) and (h, w), of the photo's own size.
    outlines, strips
        Of all its fries, by number, as `measure_strips` gives them.
    camera
        Pose over the sheet.
    ground
        How high over the sheet the fries lie, mm, and how sure that is.
    """
    bars = {number: strip for number, strip in strips.items() if _is_bar(strip)}
    lights = {number: light_across(pixels, labels, number, strip, camera) for number, strip in bars.items()}
    on_edge = strips_on_edge(lights, outlines, bars, camera, ground=ground)
    flat = {number: strip for number, strip in bars.items() if number not in on_edge}
    thick = {
        number: measure_strip(
            outlines[number],
            camera,
            ground_mm=ground[0],
            ground_u_mm=ground[1],
            width_mm=flat[number].width_mm,
            section=Section(thickness_mm=thickness),
        )
        for number, thickness in thickness_by_flank(lights, flat).items()
    }
    return strips | on_edge | thick


def _is_bar(strip: StripGeometry) -> bool:
    return strip.misfit < _BAR_MISFIT and not strip.section.pointed and not isinstance(strip.frame, CurvedFrame)


def _usual_width(strips: list[StripForm], cut_width_mm: float) -> float | None:
    widths = [strip.width_mm for strip in strips if strip.misfit < _BAR_MISFIT]
    if len(widths) < _LEAST_BARS:
        return None
    low, high = _THICKNESS_RANGE
    return float(np.clip(np.median(widths), low * cut_width_mm, high * cut_width_mm))


def _wedge(edges_mm: FloatArray) -> Section:
    return Section(edges_mm=edges_mm, pointed=True)
