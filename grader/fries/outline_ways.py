"""A fry's outline along and across it, and which way it runs: along the fry at its sides, across it at its ends."""

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import gaussian_filter1d

from grader.arrays import FloatArray, MaskArray
from grader.card.model import Camera
from grader.card.pose import to_plane
from grader.fries.geometry import StripGeometry
from grader.fries.outline import Outline
from grader.quantiles import median

_SMOOTH_MM = 0.2
_ACROSS = 0.5
"""Sine: from 30 degrees off its length on the outline runs across the fry."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutlineWays:
    """A closed outline of k points at the height of a fry's middle, without the steps of its pixels.

    Attributes
    ----------
    along_mm, across_mm
        (k,) from the fry's first end, and from its centreline.
    runs_across
        (k,) True where it runs across the fry: at an end, not beside another fry.
    """

    along_mm: FloatArray
    across_mm: FloatArray
    runs_across: MaskArray


def outline_ways(outline: Outline, strip: StripGeometry, camera: Camera) -> OutlineWays:
    """The outline of a fry, along and across it."""
    points = np.stack(strip.frame.along_across(to_plane(camera, outline.points_px, strip.middle_height_mm)))
    spacing = median(np.hypot(*np.diff(points, axis=1)))
    points = gaussian_filter1d(points, _SMOOTH_MM / max(spacing, 1e-6), axis=1, mode="wrap")
    step_along, step_across = np.roll(points, -1, axis=1) - np.roll(points, 1, axis=1)
    along, across = points
    return OutlineWays(
        along_mm=along,
        across_mm=across,
        runs_across=np.asarray(np.abs(step_across) > _ACROSS * np.hypot(step_along, step_across)),
    )
