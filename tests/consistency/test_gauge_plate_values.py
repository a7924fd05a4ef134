"""What a study takes of one photo."""

from dataclasses import replace

import pytest

from grader.consistency.gauge.plate_values import plate_values
from tests.records import made_up


def test_means_over_the_fries_that_count() -> None:
    standard = made_up.standard()
    fries = [made_up.fry(n, y=40.0 * n, length_px=300.0 + 20 * n) for n in range(6)]
    values = plate_values(fries, standard)
    assert values["place"] == pytest.approx(3.0, abs=1e-6)  # the step "golden"
    assert (values["L"], values["a"], values["b"]) == pytest.approx((60.0, 8.0, 35.0))
    assert values["length"] == pytest.approx(75 + 2.5 * 5)
    straight = plate_values(fries, replace(standard, length_is="straight"))
    assert straight["length"] == pytest.approx(values["length"] - 0.5)


def test_what_is_off_the_scale_or_a_crumb_counts_nowhere() -> None:
    standard = made_up.standard()
    fries = [made_up.fry(n, y=40.0 * n) for n in range(6)]
    odd = [made_up.fry(7, y=400, lab=(60.0, -60.0, 35.0)), made_up.fry(8, y=440, length_px=30, lab=(45.0, 14.0, 28.0))]
    assert plate_values([*fries, *odd], standard)["place"] == plate_values(fries, standard)["place"]
    assert plate_values([*fries, *odd], standard)["L"] == pytest.approx(60.0)


def test_too_few_fries_say_nothing() -> None:
    assert plate_values([made_up.fry(n, y=40.0 * n) for n in range(4)], made_up.standard()) == {}
