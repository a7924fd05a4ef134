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


def fit(mask: MaskArray, *, every: int = 2, beside: MaskArray | None = None) -> StripFit:
    points: FloatArray = GRID[mask][::every]
    return fit_strip(points, float(mask.sum()), mask if beside is None else mask | beside)


def misfit(mask: MaskArray, *, every: int = 2, beside: MaskArray | None = None) -> float:
    return fit(mask, every=every, beside=beside).misfit_px / float(mask.sum())


@settings(max_examples=40)
@given(turned=st.floats(0, 180), length=st.floats(120, 280), width=st.floats(15, 40), sag=st.floats(-20, 20))
def test_a_bar_fits_whichever_way_it_lies(turned: float, length: float, width: float, sag: float) -> None:
    mask = bar(turned_deg=turned, length=length, width=width, sag=sag * length / 280)
    found = fit(mask)
    assert misfit(mask) < 0.2
    assert found.gap_px == 0
    assert found.width_px == pytest.approx(width, abs=0.05 * width + 2.5)
    assert found.length_px == pytest.approx(length, abs=0.12 * length)


def test_straight_bars_hardly_misfit_at_all() -> None:
    assert max(misfit(bar(turned_deg=turned)) for turned in (0, 20, 45, 77, 90)) < 0.1


@pytest.mark.parametrize("turned", [0, 30, 60])
def test_what_is_no_bar_misfits_far_more_than_any_bar(turned: float) -> None:
    worst_bar = max(misfit(bar(turned_deg=turned, sag=sag)) for sag in (0.0, 15.0))
    cross = bar(turned_deg=turned) | bar(turned_deg=turned + 90)
    corner = np.roll(bar(turned_deg=0, length=150), (-60, 0), (0, 1)) | np.roll(
        bar(turned_deg=90, length=150), (0, -60), (0, 1)
    )
    fork = bar(turned_deg=turned) | bar(turned_deg=turned + 30)
    for shape in (cross, corner, fork):
        assert misfit(shape) > 0.3 > 2 * worst_bar


def test_two_bars_with_bare_ground_between_them_are_not_one_bar() -> None:
    apart = np.roll(bar(width=20), -25, 0) | np.roll(bar(width=20), 25, 0)
    assert misfit(apart) > 2 * misfit(bar(width=70)) + 0.1


def test_half_of_the_points_say_the_same() -> None:
    mask = bar(turned_deg=25, sag=10)
    assert misfit(mask, every=2) == pytest.approx(misfit(mask, every=1), abs=0.05)
    assert fit(mask, every=2).width_px == pytest.approx(fit(mask, every=1).width_px, abs=1.5)


@pytest.mark.parametrize("across", [90, 60, 45])
@pytest.mark.parametrize("turned", [0, 35, 90])
def test_what_another_lies_over_is_hidden_and_what_nothing_lies_over_is_missing(turned: float, across: float) -> None:
    upper = bar(turned_deg=turned + across)
    lower = bar(turned_deg=turned) & ~upper
    hidden_px = float((bar(turned_deg=turned) & upper).sum())
    covered, bare = fit(lower, beside=upper), fit(lower)
    assert misfit(lower, beside=upper) < 0.12
    assert misfit(lower) > misfit(lower, beside=upper) + 0.9 * hidden_px / float(lower.sum())
    assert covered.hidden_px == pytest.approx(hidden_px, rel=0.3)
    assert bare.hidden_px < 0.1 * hidden_px
    assert 0 < covered.gap_px <= 30 / np.sin(np.radians(across)) + 4
    assert covered.length_px == pytest.approx(240, abs=20)
    assert covered.width_px == pytest.approx(30, abs=3)


@pytest.mark.parametrize("points", [[[3.0, 4.0]], [[3.0, 4.0], [4.0, 4.0]], [[1.0, 1.0], [2.0, 1.0], [1.0, 2.0]]])
def test_a_few_pixels_are_a_strip_too(points: list[list[float]]) -> None:
    found = fit_strip(np.array(points), float(len(points)), np.ones((6, 6), bool))
    assert np.isfinite([found.misfit_px, found.hidden_px, found.width_px, found.length_px]).all()
