"""Quantiles of a few thousand numbers, several times as fast as NumPy's own, which mind what doesn't occur here."""

import numpy as np

from grader.arrays import FloatArray


def quantile(values: FloatArray, share: float) -> float:
    """The value (of k > 0, none nan) under which this share of them lies, straight between the two that are next."""
    place = share * (len(values) - 1)
    low, high = int(np.floor(place)), int(np.ceil(place))
    ordered = np.partition(values, [low, high])
    return float(ordered[low] + (ordered[high] - ordered[low]) * (place - low))


def median(values: FloatArray) -> float:
    """The middle one of k > 0 values, none nan; of an even number the mean of the middle two."""
    return quantile(values, 0.5)
