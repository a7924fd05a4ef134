import pytest

from grader.line.brine import BrineError, salt_g_per_kg_water

# Poradnik fizykochemiczny (1974), as printed at fizyka.umk.pl/~lab2/tables/NaCl.html: % by mass, kg/m3 at 20 C, grams
# of salt in a litre of the solution.
TABLE = [(1, 1005.3, 10.05), (4, 1026.8, 41.07), (8, 1055.9, 84.47), (12, 1085.7, 130.28), (14, 1100.9, 154.13)]


@pytest.mark.parametrize(("share", "density", "grams"), TABLE)
def test_density_and_salt_are_those_of_the_published_table(share: float, density: float, grams: float) -> None:
    salt = salt_g_per_kg_water(density / 998.2)
    assert salt / (1000 + salt) == pytest.approx(share / 100, abs=1e-4)
    assert salt / (1000 + salt) * density == pytest.approx(grams, rel=1e-3)


@pytest.mark.parametrize(("gravity", "percent"), [(1.070, 9.65), (1.080, 11.0), (1.090, 12.3)])
def test_baths_for_common_gravities(gravity: float, percent: float) -> None:
    """Worked out by hand from the same table, by straight lines between its rows."""
    salt = salt_g_per_kg_water(gravity)
    assert 100 * salt / (1000 + salt) == pytest.approx(percent, abs=0.03)


def test_a_cold_bath_is_denser() -> None:
    """0.37 kg/m3 a degree at 10 %, by the same source."""
    at_20 = 1070.7
    salt = salt_g_per_kg_water((at_20 + 3.7) / 998.2, temperature_c=10)
    assert salt == pytest.approx(salt_g_per_kg_water(at_20 / 998.2), abs=0.1)


def test_beyond_the_table_is_refused() -> None:
    with pytest.raises(BrineError, match="No brine"):
        salt_g_per_kg_water(1.25)
    with pytest.raises(BrineError, match="40 C is beyond"):
        salt_g_per_kg_water(1.08, temperature_c=40)
