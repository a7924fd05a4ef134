"""A printed card calibrated beside a chart: against the print's true colours, in photographs made here."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from grader.arrays import FloatArray, frozen
from grader.card.serial import Serial
from grader.card_values import apply_values, read_values, write_values
from grader.chart import chart_values, home
from grader.chart.beside import BesideChart, read_beside
from grader.chart.home import HomeCalibration, calibrate_by_chart
from grader.colour import ciede2000
from grader.errors import CardUnusable, ColourFitPoor, PhotoRefused
from tests.card.scenes import layout_of
from tests.chart.photographs import jpeg_bytes, photograph, random_sensor, random_view
from tests.chart.scenes import Print, photograph_beside, random_print
from tests.chart.spectral import as_readings

VALUES = chart_values("after-november-2014")
CHART_SD = 0.5
"""CIELAB units by which the chart in the photograph is off its published values."""
DAY, EXPIRES = date(2026, 11, 20), date(2027, 5, 20)

Photos = list[tuple[str, bytes]]


def two_lights(number: int) -> tuple[Print, Photos]:
    """A print, and two photographs of it with different cameras' eyes: as two lights."""
    rng = np.random.default_rng(number)
    card, chart_lab = random_print(rng), VALUES.patch_lab + rng.normal(0, CHART_SD, (24, 3))
    return card, [(f"{k}.jpg", photograph_beside(card, chart_lab, random_sensor(rng), rng)) for k in ("day", "lamp")]


def calibrated(photos: Photos, *, run: str | None = "K7Q2X") -> HomeCalibration:
    return calibrate_by_chart(photos, VALUES, run=run, measured_on=DAY, expires_on=EXPIRES, by="AB")


def errors_and_u(card: Print, found: HomeCalibration) -> tuple[FloatArray, FloatArray]:
    values = found.values
    lab, u = np.vstack([values.patch_lab, values.base_lab]), np.vstack([values.patch_lab_u, values.base_lab_u])
    return lab - np.vstack([card.patch_lab, card.base_lab]), u


@pytest.fixture(scope="module")
def first() -> tuple[Print, Photos, HomeCalibration]:
    card, photos = two_lights(0)
    return card, photos, calibrated(photos, run=None)  # its serial tells the run


def test_the_print_is_found_within_its_stated_uncertainty(first: tuple[Print, Photos, HomeCalibration]) -> None:
    card, _, found = first
    errors, u = errors_and_u(card, found)
    designed = np.array([patch.lab for patch in card.layout.patches])
    de, before = ciede2000(found.values.patch_lab, card.patch_lab), ciede2000(designed, card.patch_lab)
    print(f"median {np.median(de):.2f}, as designed {np.median(before):.2f}, u {np.median(u):.2f}")
    assert np.median(de) < 0.5 * np.median(before)
    assert (np.abs(errors) < 2 * u).mean() > 0.9
    assert found.lights == (("day.jpg",), ("lamp.jpg",))
    assert 0 < found.between_de < home.DISAGREE_DE


def test_the_values_say_where_they_come_from_and_can_be_kept(first: tuple[Print, Photos, HomeCalibration]) -> None:
    card, _, found = first
    values = found.values
    assert (values.method, values.run, values.measured_by, values.measured) == ("chart", "K7Q2X", "AB", True)
    assert (values.measured_on, values.expires_on) == (DAY, EXPIRES)
    assert values.instrument == f"2 photographs under 2 lights beside a {VALUES.name}"
    again = read_values(write_values(values), name="values", layouts=(card.layout,))
    np.testing.assert_allclose(again.patch_lab, values.patch_lab, atol=1e-3)
    assert apply_values(card.layout, values).patches[0].lab == pytest.approx(tuple(values.patch_lab[0]))


@pytest.mark.slow
def test_forty_draws_are_covered() -> None:
    """Stated 95 % intervals of 40 prints, chart and cameras drawn anew each time."""
    inside, within = [], []
    for number in range(40):
        card, photos = two_lights(number + 1000)
        try:
            errors, u = errors_and_u(card, calibrated(photos))
        except PhotoRefused as refusal:  # a camera whose colours burn out
            print(number, refusal)
            continue
        inside.append(np.abs(errors) < 1.96 * u)
        within.append(np.abs(errors) < u)
    per_channel = np.mean(inside, axis=(0, 1))
    print(f"covered at 95 %: {per_channel.round(3)}, at one u: {np.mean(within, axis=(0, 1)).round(3)}")
    assert len(inside) >= 36
    assert (per_channel > 0.93).all()


def test_one_light_alone_is_refused(first: tuple[Print, Photos, HomeCalibration]) -> None:
    _, photos, _ = first
    for same in ([photos[0]], [photos[0], ("again.jpg", photos[0][1])]):
        with pytest.raises(ColourFitPoor, match="one light") as told:
            calibrated(same)
        assert told.value.code == "lights_alike"


def test_a_bad_photo_is_named(first: tuple[Print, Photos, HomeCalibration]) -> None:
    rng = np.random.default_rng(1)
    chart_alone = jpeg_bytes(photograph(np.full((24, 3), 0.3), random_sensor(rng), random_view(rng), rng))
    with pytest.raises(PhotoRefused, match=r"chart\.jpg could not be judged: There is no card") as told:
        calibrated([first[1][0], ("chart.jpg", chart_alone)])
    assert told.value.code == "card_not_found"


def test_a_card_without_a_chart_is_refused() -> None:
    card, _ = two_lights(2)
    rng = np.random.default_rng(2)
    grey = np.full((24, 3), [50.0, 0.0, 0.0])
    with pytest.raises(CardUnusable, match="no 24-patch chart"):
        read_beside(photograph_beside(card, grey, random_sensor(rng), rng), name="x.jpg", values=VALUES)


# --- what is done with readings, without pictures ---


def reading(lab: FloatArray, **changes: Any) -> BesideChart:
    """One photograph's reading of a card, all its doubts nought."""
    correction: Any = type("Fitted", (), {"left_out_de": np.array([1.0])})
    nothing = frozen(np.zeros_like(lab))
    made = BesideChart(
        name="a.jpg",
        layout=layout_of("card-a6"),
        serial=None,
        lab=frozen(lab),
        noise_u=nothing,
        level_u=nothing,
        left_out_u=frozen(np.array([0.6, 0.8, 1.0])),
        chart=as_readings(np.full((24, 3), 0.3)),
        chart_light=frozen(np.ones(24)),
        correction=correction,
    )
    return replace(made, **changes)


@pytest.fixture
def read_as(monkeypatch: pytest.MonkeyPatch) -> Callable[[Sequence[BesideChart]], Photos]:
    """Stands in for reading pictures: each photograph reads as one of these, and each is a light of its own."""

    def prepare(readings: Sequence[BesideChart]) -> Photos:
        waiting = iter(readings)
        monkeypatch.setattr(home, "read_beside", lambda _data, *, name, values: replace(next(waiting), name=name))  # noqa: ARG005
        monkeypatch.setattr(home, "by_light", lambda photos: tuple((photo,) for photo in photos))
        return [(f"{number}.jpg", b"") for number in range(len(readings))]

    return prepare


ReadAs = Callable[[Sequence[BesideChart]], Photos]
LAB = np.array([patch.lab for patch in layout_of("card-a6").patches] + [layout_of("card-a6").base_lab])


def test_mean_and_uncertainty_are_the_stated_formula(read_as: ReadAs) -> None:
    """Two lights half a unit to either side: chart, left-out error, half the lights' variance, noise, inks."""
    off = np.array([0.5, 0.5, 0.5])
    noise = frozen(np.full_like(LAB, 0.2))
    found = calibrated(read_as([reading(LAB + off, noise_u=noise), reading(LAB - off, noise_u=noise)]))
    np.testing.assert_allclose(found.values.patch_lab, LAB[:-1])
    np.testing.assert_allclose(found.values.base_lab, LAB[-1])
    expected = np.sqrt(0.5**2 + np.array([0.6, 0.8, 1.0]) ** 2 + 0.5 / 2 + 0.2**2 + np.square(home.INKS_U))
    np.testing.assert_allclose(found.values.patch_lab_u, np.tile(expected, (24, 1)))


def test_a_patch_on_which_the_lights_differ_more_is_less_sure(read_as: ReadAs) -> None:
    other = LAB.copy()
    other[3] += [0, 6, 0]
    u = calibrated(read_as([reading(LAB), reading(other)])).values.patch_lab_u
    assert u[3, 1] > u[2, 1] + 1
    assert u[2, 1] > 0.8


def test_lights_that_disagree_are_refused(read_as: ReadAs) -> None:
    with pytest.raises(ColourFitPoor, match="lights disagree") as told:
        calibrated(read_as([reading(LAB), reading(LAB + np.array([0, 9, 0]))]))
    assert told.value.code == "lights_disagree"


def test_a_patch_read_under_one_light_alone_is_taken_from_there(read_as: ReadAs) -> None:
    hidden = LAB + 0.4
    hidden[7] = np.nan
    found = calibrated(read_as([reading(LAB), reading(hidden)]))
    np.testing.assert_allclose(found.values.patch_lab[7], LAB[7])
    np.testing.assert_allclose(found.values.patch_lab[8], LAB[8] + 0.2)
    assert (found.values.patch_lab_u[7] >= found.values.patch_lab_u[8]).all()


def test_what_no_light_shows_is_named(read_as: ReadAs) -> None:
    hidden = LAB.copy()
    hidden[[7, 24]] = np.nan
    with pytest.raises(CardUnusable, match="patch 8, the paper"):
        calibrated(read_as([reading(hidden), reading(hidden)]))
    half = LAB.copy()
    half[:12] = np.nan
    with pytest.raises(CardUnusable, match="one light only"):
        calibrated(read_as([reading(LAB), reading(half)]))


def test_the_run_is_read_from_the_serial_or_said(read_as: ReadAs) -> None:
    serial = Serial("K7Q2X", 14)
    both = [reading(LAB, serial=serial), reading(LAB + 0.1)]
    assert calibrated(read_as(both), run=None).values.run == "K7Q2X"
    with pytest.raises(CardUnusable, match="several print runs: H7Q2X, K7Q2X"):
        calibrated(read_as(both), run="H7Q2X")
    with pytest.raises(CardUnusable, match="serial can't be read"):
        calibrated(read_as([reading(LAB), reading(LAB)]), run=None)


def test_different_sheets_are_refused(read_as: ReadAs) -> None:
    with pytest.raises(CardUnusable, match="different sheets"):
        calibrated(read_as([reading(LAB), reading(LAB, layout=layout_of("mat-a4"))]))


def test_a_mat_gets_a_value_for_its_field(read_as: ReadAs) -> None:
    mat = layout_of("mat-a4")
    assert mat.field_lab is not None
    lab = np.array([*(patch.lab for patch in mat.patches), mat.base_lab, mat.field_lab])
    found = calibrated(read_as([reading(lab, layout=mat), reading(lab + 0.2, layout=mat)])).values
    assert found.field_lab is not None
    np.testing.assert_allclose(found.field_lab, np.array(mat.field_lab) + 0.1)
    assert found.patch_lab.shape == (len(mat.patches), 3)
