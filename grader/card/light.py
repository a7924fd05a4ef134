"""Which spots of a sheet are what they should be, bare paper or bare field, judged by the light on them.

Light over a sheet changes slowly, so its logarithm is a plane, or over a whole mat a gentle bowl; something that lies
on the paper, a shadow's core or a reflection stands out of it.
"""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray, MaskArray

_HAZE = 0.003
"""Added before the logarithm: darker than this, a camera's black level decides."""
_LUMINANCE = np.array([0.2126, 0.7152, 0.0722])

_PAPER_HUE = 0.25
_PAPER_DARK = 0.5
_PAPER_BRIGHT = 0.35
"""Logarithms. Bare paper strays by up to 0.17 in hue and 0.13 in lightness from the plane (noise of a dark photo, light
of one lamp); what lies on it by 0.5 and more, a reflection by up to 0.9."""

_FIELD_HUE = 0.12
_FIELD_LIGHTNESS = 0.45
_FIELD_NEAR = 0.06
_FIELD_HUE_NEAR = 0.08
"""Logarithms. At first a grey may stray by what tone and haze do to it, then by noise about its own light, 0.03."""
_FIELD_ROUNDS = 6
_FEWEST_SPOTS = 24


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PaperState:
    """For each spot of paper, (n,): something lies on it, or light mirrors in it."""

    covered: MaskArray
    shiny: MaskArray


def paper_state(xy_mm: FloatArray, rgb: FloatArray, trusted: MaskArray) -> PaperState:
    """Compare spots of paper, (n, 2) and (n, 3), with the plane through the trusted ones, (n,): near tags in sight."""
    logs = np.log(rgb + _HAZE)
    terms = _terms(xy_mm, order=1)
    plane = np.linalg.lstsq(terms[trusted], logs[trusted], rcond=None)[0]
    lightness, hue = _lightness_and_hue(logs - terms @ plane)
    covered = (hue > _PAPER_HUE) | (lightness < -_PAPER_DARK)
    return PaperState(covered=covered, shiny=(lightness > _PAPER_BRIGHT) & ~covered)


def bare_field(
    paper: tuple[FloatArray, FloatArray], field: tuple[FloatArray, FloatArray], luminance_ratio: float
) -> MaskArray:
    """(m,) which spots of a mat's field show the bare field: no fry, no crumb, no shadow's core.

    The paper around tells where to begin, to within what tone and haze do to a grey; then the field's own light, a bowl
    over the mat, is fitted to the spots that agree with it, round by round.

    Parameters
    ----------
    paper, field
        Places (n, 2), mm, and light (n, 3) of the spots.
    luminance_ratio
        Of the field to the paper.
    """
    paper_xy, paper_rgb = paper
    field_xy, field_rgb = field
    plane = np.linalg.lstsq(_terms(paper_xy, order=1), np.log(paper_rgb + _HAZE), rcond=None)[0]
    logs = np.log(field_rgb + _HAZE) - _terms(field_xy, order=1) @ plane - np.log(luminance_ratio)
    lightness, hue = _lightness_and_hue(logs)
    bare = (hue < _FIELD_HUE) & (np.abs(lightness) < _FIELD_LIGHTNESS)
    terms, level = _terms(field_xy, order=2), _mode(lightness[bare])
    near = bare & (np.abs(lightness - level) < 2 * _FIELD_NEAR)
    for _ in range(_FIELD_ROUNDS):
        if near.sum() < _FEWEST_SPOTS:
            return np.zeros(len(lightness), bool)
        bowl = np.linalg.lstsq(terms[near], logs[near], rcond=None)[0]
        lightness, hue = _lightness_and_hue(logs - terms @ bowl)
        near = bare & (np.abs(lightness) < _FIELD_NEAR) & (hue < _FIELD_HUE_NEAR)
    return near


def _lightness_and_hue(logs: FloatArray) -> tuple[FloatArray, FloatArray]:
    """(n,) each: a weighted mean over the channels, and how far red or blue strays from green."""
    return logs @ _LUMINANCE, np.abs(logs - logs[:, 1:2]).max(axis=1)


def _mode(values: FloatArray) -> float:
    """Where values crowd most: the middle of the shortest stretch that holds a third of them; 0 of none."""
    if not len(values):
        return 0.0
    ordered = np.sort(values)
    third = max(len(ordered) // 3, 1)
    widths = ordered[third - 1 :] - ordered[: len(ordered) - third + 1]
    start = int(np.argmin(widths))
    return float(np.median(ordered[start : start + third]))


def _terms(xy_mm: FloatArray, *, order: int) -> FloatArray:
    """(n, 3) or (n, 6) polynomial terms of places, in dm, so that they are of one size."""
    x, y = xy_mm.T / 100
    terms = [np.ones_like(x), x, y]
    if order == 2:
        terms += [x * x, x * y, y * y]
    return np.stack(terms, axis=1)
