"""Length and width of fries in their own plane, from their outlines, and how sure they are."""

import math
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, MaskArray
from grader.card.model import Camera
from grader.card.pose import level_to_pixels, px_per_mm_at
from grader.fries.edge_heights import Section, leaning, lines_of
from grader.fries.forms import BODY, OnHeights, StripForm, find_forms
from grader.fries.outline import Outline
from grader.fries.parabolas import SIDE
from grader.fries.size_doubt import (
    ends_doubt,
    meeting_doubt,
    shared_doubt,
    sides_doubt,
    thickness_doubt,
    waves_doubt,
    wedge_doubt,
)

_CENTRE_STEP_MM = 3.0
_BAR = Section()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StripGeometry(StripForm):
    """One fry's measures, mm on the sheet's scale, and each with its standard uncertainty.

    `bow_mm` is how far the centreline leaves the straight line between its ends. `shared_u` is relative: the part of
    those uncertainties that moves all sizes of the plate by one factor.
    """

    straight_mm: float
    length_u_mm: float
    straight_u_mm: float
    width_u_mm: float
    shared_u: float
    bow_mm: float
    centreline_px: FloatArray
    middle_height_mm: float


def measure_strip(
    outline: Outline,
    camera: Camera,
    *,
    ground_mm: float,
    ground_u_mm: float,
    width_mm: float,
    section: Section = _BAR,
) -> StripGeometry:
    """Measure one fry.

    Parameters
    ----------
    outline
        In the photo.
    camera
        Pose over the sheet.
    ground_mm, ground_u_mm
        How high over the sheet the fry lies, and how sure that is.
    width_mm
        A first guess of its width: the cut.
    section
        What is known of its cross-section.

    Uncertainties include the sheet's scale, the lens, the fry's height, the ground's, the edges' and ends that meet
    other fries; not that the outline may be another fry's in part (`FryFlag` says so).
    """
    lines = lines_of([outline], camera)
    (form,) = find_forms(lines, ground_mm=ground_mm, widths_mm=[width_mm], sections=[section])
    return conclude(form, outline, camera, ground_mm=ground_mm, ground_u_mm=ground_u_mm)


def conclude(
    seen: OnHeights, outline: Outline, camera: Camera, *, ground_mm: float, ground_u_mm: float
) -> StripGeometry:
    """The measures of a fry of which the form is known, as `measure_strip`."""
    form, width, thickness, facing = seen.form, seen.form.width_mm, seen.thickness_mm, seen.facing
    section, length, ends = form.section, form.length_mm, form.ends
    height = ground_mm + (thickness / 2 if section.edges_mm is None else float(np.median(section.edges_mm)))
    stations = np.linspace(0, length, max(2, round(length / _CENTRE_STEP_MM)) + 1)
    centre = form.frame.place(stations, np.zeros(len(stations)))
    centre_px = level_to_pixels(camera, centre, height)
    straight = math.dist(centre[0], centre[-1])
    shared = shared_doubt(camera, centre[[0, -1]], centre_px[[0, -1]], height_mm=height, height_u_mm=ground_u_mm)
    relative = math.hypot(shared, thickness_doubt(camera, width=thickness))
    lean = leaning(camera, seen.xy, seen.normals)
    pixel_mm = 1 / px_per_mm_at(camera, centre[len(centre) // 2], height)
    met = outline.other > 0
    edges_u = math.hypot(ends_doubt(lean, ends, pixel_mm=pixel_mm, width=thickness), meeting_doubt(met, ends))
    sides = facing > SIDE, facing < -SIDE
    body = _body(form.along_mm, sides)
    form_u = wedge_doubt(width) if section.pointed else waves_doubt(form.along_mm, form.across_mm, body, width=width)
    sides_u = math.hypot(sides_doubt(lean, sides, pixel_mm=pixel_mm, width=thickness), form_u)
    return StripGeometry(
        length_mm=length,
        width_mm=width,
        area_mm2=form.area_mm2,
        ends=ends,
        along_mm=form.along_mm,
        across_mm=form.across_mm,
        frame=form.frame,
        section=section,
        straight_mm=straight,
        length_u_mm=math.hypot(relative * length, edges_u),
        straight_u_mm=math.hypot(relative * straight, edges_u),
        width_u_mm=math.hypot(relative * width, sides_u),
        shared_u=shared,
        bow_mm=_bow(centre),
        centreline_px=centre_px,
        middle_height_mm=height,
    )


def _body(along: FloatArray, sides: tuple[MaskArray, MaskArray]) -> tuple[MaskArray, MaskArray]:
    """Both sides without what lies near the ends."""
    low, high = along.min(), along.max()
    inner = np.abs(along - (low + high) / 2) <= BODY * (high - low) / 2
    return sides[0] & inner, sides[1] & inner


def _bow(centre: FloatArray) -> float:
    chord = centre[-1] - centre[0]
    off = centre - centre[0]
    return float(np.max(np.abs(chord[0] * off[:, 1] - chord[1] * off[:, 0])) / max(float(np.linalg.norm(chord)), 1.0))
