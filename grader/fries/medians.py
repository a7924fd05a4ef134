"""The median of each of many groups of values, without a turn of Python for each."""

import numpy as np

from grader.arrays import Float32Array, FloatArray, IntArray


def medians_of(values: FloatArray | Float32Array, group: IntArray, groups: int) -> FloatArray:
    """(groups,) the median of the values (k,) whose group (k,) is 0, 1, ...; nan where a group has none."""
    group = group.astype(np.min_scalar_type(groups))  # few bytes a number are sorted several times as fast
    by_value = np.argsort(values)
    order = by_value[np.argsort(group[by_value], kind="stable")]
    ordered = values[order]
    count = np.bincount(group, minlength=groups)
    some, first = count > 0, np.cumsum(count) - count
    low, high = first + (count - 1) // 2, first + count // 2
    medians = np.full(groups, np.nan)
    medians[some] = (ordered[low[some]] + ordered[high[some]]) / 2
    return medians
