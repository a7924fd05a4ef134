import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.arrays import FloatArray, MaskArray
from grader.fries.strip import StripFit, fit_strip

GRID = np.stack(np.meshgrid(np.arange(400.0), np.arange(400.0)), axis=-1)


def bar(*, turned_deg: float = 0.0, length: float = 240.0, width: float = 30.0, sag: float = 0.0) -> MaskArray:
    c, s = np.cos(np.radians(turned_deg)), np.sin(np.radians(turned_deg))
    x, y = np.moveaxis((GRID - 200) @ np.array([[c, -s], [s, c]]), -1, 0)
    middle = sag * (2 * x / length) ** 2
    return np.asarray((np.abs(x) < length / 2) & (np.abs(y - middle) < width / 2))


def fit(mask: MaskArray, *, every: int = 2) -> StripFit:
    points: FloatArray = GRID[mask][::every]
    return fit_strip(points, float(mask.sum()))


@settings(max_examples=40)
@given(turned=st.floats(0, 180), length=st.floats(120, 280), width=st.floats(15, 40), sag=st.floats(-20, 20))
def test_a_bar_fits_whichever_way_it_lies(turned: float, length: float, width: float, sag: float) -> None:
    found = fit(bar(turned_deg=turned, length=length, width=width, sag=sag * length / 280))
    assert found.misfit < 0.2
    assert found.width_px == pytest.approx(width, abs=0.05 * width + 2.5)
    assert found.length_px == pytest.approx(length, abs=0.12 * length)


def test_straight_bars_hardly_misfit_at_all() -> None:
    assert max(fit(bar(turned_deg=turned)).misfit for turned in (0, 20, 45, 77, 90)) < 0.1


@pytest.mark.parametrize("turned", [0, 30, 60])
def test_what_is_no_bar_misfits_far_more_than_any_bar(turned: float) -> None:
    worst_bar = max(fit(bar(turned_deg=turned, sag=sag)).misfit for sag in (0.0, 15.0))
    cross = bar(turned_deg=turned) | bar(turned_deg=turned + 90)
    corner = np.roll(bar(turned_deg=0, length=150), (-60, 0), (0, 1)) | np.roll(
        bar(turned_deg=90, length=150), (0, -60), (0, 1)
    )
    fork = bar(turned_deg=turned) | bar(turned_deg=turned + 30)
    for shape in (cross, corner, fork):
        assert fit(shape).misfit > 0.3 > 2 * worst_bar


def test_two_bars_with_a_gap_between_them_are_not_one_bar() -> None:
    apart = np.roll(bar(width=20), -25, 0) | np.roll(bar(width=20), 25, 0)
    assert fit(apart).misfit > 2 * fit(bar(width=70)).misfit + 0.1


def test_half_of_the_points_say_the_same() -> None:
    mask = bar(turned_deg=25, sag=10)
    whole, half = fit(mask, every=1), fit(mask, every=2)
    assert half.misfit == pytest.approx(whole.misfit, abs=0.05)
    assert half.width_px == pytest.approx(whole.width_px, abs=1.5)


@pytest.mark.parametrize("points", [[[3.0, 4.0]], [[3.0, 4.0], [4.0, 4.0]], [[1.0, 1.0], [2.0, 1.0], [1.0, 2.0]]])
def test_a_few_pixels_are_a_strip_too(points: list[list[float]]) -> None:
    found = fit_strip(np.array(points), float(len(points)))
    assert np.isfinite([found.misfit, found.width_px, found.length_px]).all()
