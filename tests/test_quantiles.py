"""Against NumPy's."""

import numpy as np
import pytest

from grader.quantiles import median, quantile


@pytest.mark.parametrize("count", [1, 2, 3, 10, 1001, 4000])
@pytest.mark.parametrize("share", [0.0, 0.25, 0.5, 0.9, 1.0])
def test_quantiles_are_those_of_numpy(count: int, share: float) -> None:
    values = np.random.default_rng(count).normal(size=count)
    assert quantile(values, share) == pytest.approx(np.quantile(values, share), abs=1e-12)
    assert median(values) == pytest.approx(np.median(values), abs=1e-12)
