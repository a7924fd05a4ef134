"""Profiles made by hand: which ends are dark, and how far they reach."""

import numpy as np
import pytest

from grader.fries.dark_end import DarkEnd, find_dark_end

LENGTH_MM = 80.0


def found(
    *,
    reach_mm: float = 0.0,
    darker: float = 22.0,
    body: float = 62.0,
    other_end: bool = False,
    length_mm: float = LENGTH_MM,
    fade_mm: float = 2.0,
    uneven: float = 1.5,
    tip_mm: float = 0.0,
) -> DarkEnd | None:
    """Of a fry darker by `darker` L* over `reach_mm`, where half of that is left; its outer `tip_mm` browned too."""
    along, place = (axis.ravel() for axis in np.meshgrid(np.arange(0.2, length_mm, 0.4), np.linspace(-0.95, 0.95, 21)))
    from_end = length_mm - along if other_end else along
    lightness = body - (darker / (1 + np.exp((from_end - reach_mm) / fade_mm)) if reach_mm else 0.0)
    lightness = lightness - 12 * (np.minimum(along, length_mm - along) < tip_mm)
    lightness = lightness + np.random.default_rng(5).normal(0, uneven, len(along))
    return find_dark_end(lightness, along, place, length_mm)


@pytest.mark.parametrize("other_end", [False, True])
@pytest.mark.parametrize("reach_mm", [8.0, 14.0, 25.0])
def test_it_reaches_to_where_half_of_its_darkness_is_left(reach_mm: float, other_end: bool) -> None:
    end = found(reach_mm=reach_mm, other_end=other_end)
    assert end is not None
    assert end.reach_mm == pytest.approx(reach_mm, abs=2.5)
    assert abs(end.reach_mm - reach_mm) < 2 * end.reach_u_mm
    assert end.darker == pytest.approx(22, abs=5)


def test_an_even_fry_has_none_however_pale_or_brown() -> None:
    assert all(found(body=body) is None for body in (75.0, 62.0, 45.0))


def test_a_tip_that_browned_a_little_is_none() -> None:
    assert found(tip_mm=1.5) is None


def test_slightly_darker_is_none() -> None:
    assert found(reach_mm=15, darker=2.5) is None


def test_a_dark_body_with_a_light_end_is_no_dark_end() -> None:
    assert found(reach_mm=65) is None


def test_the_darker_the_end_the_larger_the_figure() -> None:
    ends = [found(reach_mm=15, darker=darker) for darker in (14.0, 20.0, 26.0)]
    figures = [end.darker for end in ends if end is not None]
    assert len(figures) == 3
    assert figures == sorted(figures)


@pytest.mark.parametrize("length_mm", [3.0, 6.0])
def test_of_a_stub_nothing_is_said(length_mm: float) -> None:
    assert found(length_mm=length_mm) is None


def test_where_little_shows_nothing_is_said() -> None:
    few = np.array([1.0, 40.0, 79.0])
    assert find_dark_end(np.array([30.0, 60.0, 60.0]), few, np.zeros(3), LENGTH_MM) is None
