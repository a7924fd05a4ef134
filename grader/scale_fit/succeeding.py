"""A standard with a new scale: cut, defects and limits of an earlier one; what counts in steps put into new ones."""

from dataclasses import replace

import numpy as np

from grader.standard.model import ColourScale, Standard

_SPREAD_AT_LEAST, _SPREAD_AT_MOST = 0.05, 20.0
"""What a standard may hold, steps."""


def standard_with_scale(earlier: Standard, scale: ColourScale, *, name: str, version: str, note: str) -> Standard:
    """The earlier standard with this scale.

    Its limit on how far colours spread is in steps; it is kept the same in CIELAB, about the target, so that the same
    unevenness passes. Shares are no matter of steps and stay. Targets of other stages are places on the earlier scale:
    they are left out.
    """
    spread = earlier.limits.spread_steps_at_most * _step_length(earlier.scale) / _step_length(scale)
    spread = round(min(max(spread, _SPREAD_AT_LEAST), _SPREAD_AT_MOST), 2)
    limits = replace(earlier.limits, spread_steps_at_most=spread)
    return replace(earlier, name=name, version=version, note=note, scale=scale, limits=limits, stages=())


def _step_length(scale: ColourScale) -> float:
    """Mean length of a step within the target range, in CIELAB."""
    lengths = np.linalg.norm(np.diff([step.lab for step in scale.steps], axis=0), axis=1)
    places = np.arange(1, len(scale.steps) + 1)
    run = np.interp([scale.target_from, scale.target_to], places, np.concatenate([[0.0], np.cumsum(lengths)]))
    return float((run[1] - run[0]) / (scale.target_to - scale.target_from))
