"""Which way an outline runs: along the fry, at its sides, or across it, at its ends."""

import numpy as np
from scipy.ndimage import gaussian_filter1d

from grader.arrays import FloatArray, MaskArray

_SMOOTH_MM = 0.2
_ACROSS = 0.5
"""Sine: from 30 degrees off its length on the outline runs across the fry."""


def smoothed(points: FloatArray) -> FloatArray:
    """A closed outline (k, 2), mm along and across a fry, without the steps of its pixels."""
    spacing = float(np.median(np.linalg.norm(np.diff(points, axis=0), axis=1)))
    return np.asarray(gaussian_filter1d(points, _SMOOTH_MM / max(spacing, 1e-6), axis=0, mode="wrap"))


def runs_across(points: FloatArray) -> MaskArray:
    """(k,) True where it runs across the fry: at an end, not beside another fry."""
    step = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    return np.asarray(np.abs(step[:, 1]) > _ACROSS * np.hypot(*step.T))
