"""A dark end: browner than the fry's body by more than chance, over some length, fading within a few mm."""

from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.fries.browning import browning_steps
from grader.fries.medians import medians_of

_INNER = 0.7
"""Of the top face's half width: its edges brown more and more unevenly."""
_SHOWN = 0.5
"""Where less of a fry's length shows flesh there, skin lies along it, and the flesh beside the skin has to do."""
_SLICE_MM = 1.0
_LEAST_IN_SLICE = 4
_NOT_THE_TIP_MM = 2.0
"""Every fry's tip browns and rounds off within 2 mm. Common practice, no source."""
_NEAR_MM, _SEEN_FROM_MM = 4.0, 8.0
"""How much of an end is averaged, and from where at the latest it must show."""
_FADE_MM = 3.0
"""Scale of the fall from dark end to body: that of rendered fries, near what photos show."""
_SHORTEST_MM, _LONGEST = 4.0, 0.55
"""Reach. What is shorter can't be told from a tip, what is longer (share of the length) from a dark body."""
_TIP_STEPS, _TIP_FADE_MM = 0.7, 2.5
"""How much browner a fry's very tip is, and how that fades: taken off, as it is no dark end. From rendered plates."""
_LEAST_STEPS = 1.1
"""How much browner the end is than the body, by the share of the fry's unevenness that a dark end accounts for (the
coefficient of correlation). Flesh varies by 0.3 steps of browning from place to place (rendered plates): near four
times that is no chance."""
_REACH_U_MM = 2.3
"""Against known reaches on rendered plates."""
_LEAST_SLICES = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class DarkEnd:
    """How far it reaches from its tip, mm, and how much darker (L*) than the body it is there."""

    reach_mm: float
    reach_u_mm: float
    darker: float


def find_dark_end(lightness: FloatArray, along_mm: FloatArray, place: FloatArray, length_mm: float) -> DarkEnd | None:
    """The worse of a fry's two ends where either is dark.

    Parameters
    ----------
    lightness, along_mm
        (k,) L* of flesh on the top face, and where along the fry it lies.
    place
        (k,) where across the face, -1 to 1.
    length_mm
        The fry's.
    """
    profile = _profile(lightness, along_mm, place, length_mm)
    ends = [end for end in (_from_tip(profile), _from_tip(profile[::-1])) if end is not None]
    return max(ends, key=lambda end: end.darker * end.reach_mm) if ends else None


def _profile(lightness: FloatArray, along_mm: FloatArray, place: FloatArray, length_mm: float) -> FloatArray:
    """(slices,) median L* of each slice of 1 mm."""
    slices = max(1, round(length_mm / _SLICE_MM))
    number = np.floor(along_mm / _SLICE_MM).astype(int)
    inside = (number >= 0) & (number < slices)
    inner = inside & (np.abs(place) <= _INNER)
    shown = np.bincount(number[inner], minlength=slices) >= _LEAST_IN_SLICE
    use = inner if np.mean(shown) > _SHOWN else inside
    number, lightness = number[use], lightness[use]
    enough = np.bincount(number, minlength=slices) >= _LEAST_IN_SLICE
    return np.where(enough, medians_of(lightness, number, slices), np.nan)


def _from_tip(profile: FloatArray) -> DarkEnd | None:
    """Fit body + amount / (1 + exp((x - reach) / fade)) to the browning, x mm from the tip; reach tried mm by mm."""
    x = (np.arange(len(profile)) + 0.5) * _SLICE_MM
    length = len(profile) * _SLICE_MM
    use = np.isfinite(profile) & (x > _NOT_THE_TIP_MM) & (x < length - _NOT_THE_TIP_MM)
    x, lightness = x[use], profile[use]
    if len(x) < _LEAST_SLICES or x[0] > _SEEN_FROM_MM:
        return None
    near = x < x[0] + _NEAR_MM
    reaches = np.arange(1.0, max(_SHORTEST_MM, _LONGEST * length) + 1e-9, _SLICE_MM)
    shapes = 1 / (1 + np.exp((x - reaches[:, None]) / _FADE_MM))
    browning = browning_steps(lightness) - _TIP_STEPS * (
        np.exp(-x / _TIP_FADE_MM) + np.exp(-(length - x) / _TIP_FADE_MM)
    )
    centred, varied = shapes - shapes.mean(axis=1, keepdims=True), browning - browning.mean()
    spread = (centred**2).sum(axis=1)
    amounts = (centred @ varied) / spread
    explained = amounts**2 * spread
    best = int(np.argmax(np.where(amounts > 0, explained, -np.inf)))
    body = browning.mean() - amounts[best] * shapes[best].mean()
    tells = amounts[best] > 0 and reaches[best] >= _SHORTEST_MM and best < len(reaches) - 1
    beyond = shapes[best] < 0.5
    correlation = np.sqrt(explained[best] / max(float((varied**2).sum()), 1e-12))
    if not tells or not beyond.any() or (browning[near].mean() - body) * correlation < _LEAST_STEPS:
        return None
    darker = float(np.median(lightness[beyond]) - np.mean(lightness[near]))
    return DarkEnd(reach_mm=float(reaches[best]), reach_u_mm=_REACH_U_MM, darker=darker)
