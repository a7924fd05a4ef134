"""The estimated mass of bars of known volume, and of what its doubt is made."""

import numpy as np
import pytest

from grader.fries.geometry import measure_strip
from grader.fries.mass import FRIED, RAW, estimate_mass
from grader.fries.model import Mass, Measured
from grader.fries.outline import trace_outlines
from tests.fries.solids import Bar, camera_of, camera_over, label_of

ABOVE = camera_over()


def mass_of(bar: Bar, *, raw: bool = False) -> Mass:
    outline = trace_outlines(label_of([bar], ABOVE), reach_px=3)[1]
    strip = measure_strip(outline, camera_of(ABOVE), ground_mm=0.0, ground_u_mm=0.2, width_mm=9.5)
    length = Measured(value=strip.length_mm, u=strip.length_u_mm)
    width = Measured(value=strip.width_mm, u=strip.width_u_mm)
    return estimate_mass(strip.area_mm2, length, width, cut_width_mm=9.5, raw=raw)


def volume_cm3(bar: Bar) -> float:
    """Of the solid itself: its cross-sections' areas (shoelace) summed along it."""
    rings = bar.rings()
    flat = rings - rings.mean(axis=1, keepdims=True)
    side = np.array([-bar.axis[1], bar.axis[0], 0.0])
    y, z = flat @ side, flat[..., 2]
    areas = np.abs((y * np.roll(z, -1, axis=1) - z * np.roll(y, -1, axis=1)).sum(axis=1)) / 2
    return float(np.trapezoid(areas, rings.mean(axis=1) @ np.array([*bar.axis, 0.0]))) / 1000


@pytest.mark.parametrize("length", [25.0, 50.0, 110.0])
@pytest.mark.parametrize("heading", [0.0, 33.0])
def test_a_bar_of_the_cut_weighs_its_volume_times_its_density(length: float, heading: float) -> None:
    bar = Bar(length=length, heading_deg=heading)
    assert mass_of(bar).value == pytest.approx(FRIED.value * volume_cm3(bar), rel=0.05)
    assert mass_of(bar, raw=True).value == pytest.approx(RAW.value * volume_cm3(bar), rel=0.05)


def test_a_bar_thinner_than_the_cut_is_within_twice_its_own_doubt() -> None:
    thin = Bar(thickness=8.0)
    mass = mass_of(thin)
    assert mass.value == pytest.approx(FRIED.value * volume_cm3(thin), abs=2 * mass.own_u)


def test_the_doubt_is_mostly_shared_and_its_parts_add_in_squares() -> None:
    mass = mass_of(Bar())
    assert mass.shared_u > mass.own_u
    assert mass.u == pytest.approx(np.sqrt(mass.shared_u**2 + mass.own_u**2))


def test_the_doubt_grows_with_that_of_the_area_and_the_shared_part_does_not() -> None:
    sure, unsure = (
        estimate_mass(700, Measured(value=75, u=u), Measured(value=9.5, u=0.1), cut_width_mm=9.5, raw=False)
        for u in (0.5, 15.0)
    )
    assert unsure.own_u > 1.5 * sure.own_u
    assert unsure.shared_u == sure.shared_u


def test_the_density_of_fries_covers_what_shrinking_and_drying_leave() -> None:
    """To 65 % of the volume (Costa et al. 2001), to 45 to 65 % of the mass: two standard uncertainties hold it."""
    for mass_left in (0.45, 0.65):
        assert abs(RAW.value * mass_left / 0.65 - FRIED.value) < 2 * FRIED.u
