import numpy as np
import pytest

from grader.fries.model import Measured
from grader.line.solids import GravityUnlikelyError, dry_matter, specific_gravity

# Potato Production, Processing & Technology, figure 6.3: specific gravity, water and dry matter, % by mass.
TABLE = [
    (1.050, 86.10, 13.88),
    (1.055, 85.06, 14.94),
    (1.060, 84.01, 15.99),
    (1.065, 82.95, 17.05),
    (1.070, 81.90, 18.10),
    (1.075, 80.84, 19.16),
    (1.080, 79.79, 20.21),
    (1.085, 78.73, 21.27),
    (1.090, 77.67, 22.33),
    (1.095, 76.62, 23.38),
    (1.100, 75.56, 24.44),
    (1.105, 74.51, 25.49),
    (1.110, 73.45, 26.55),
]


@pytest.mark.parametrize(("gravity", "water", "dry"), TABLE)
def test_dry_matter_is_that_of_the_published_table(gravity: float, water: float, dry: float) -> None:
    share = dry_matter(Measured(value=gravity, u=0.0)).value
    assert 100 * share == pytest.approx(dry, abs=0.015)
    assert 100 * (1 - share) == pytest.approx(water, abs=0.025)


def test_gravity_is_what_archimedes_has_it() -> None:
    """A litre of tubers of 1.080 kg shows 80 g under water."""
    assert specific_gravity(1080.0, 80.0, u_g=1.0).value == pytest.approx(1.080)


def test_its_doubt_is_that_of_both_weighings() -> None:
    rng = np.random.default_rng(1)
    air, water = 3600 + 2 * rng.normal(size=100_000), 270 + 2 * rng.normal(size=100_000)
    assert specific_gravity(3600.0, 270.0, u_g=2.0).u == pytest.approx((air / (air - water)).std(), rel=0.02)


def test_a_scale_to_a_gram_and_five_kilograms_tell_half_a_point_of_dry_matter_at_best() -> None:
    told = dry_matter(specific_gravity(5000.0, 370.0, u_g=1.0))
    assert 0.005 <= told.u < 0.0055


@pytest.mark.parametrize(("air", "water"), [(1000.0, 0.0), (1000.0, 1000.0), (1000.0, 300.0), (1000.0, 5.0)])
def test_what_no_tuber_can_be_is_refused(air: float, water: float) -> None:
    with pytest.raises(GravityUnlikelyError, match="not those of raw tubers"):
        specific_gravity(air, water, u_g=1.0)
