"""A plate's shine from two signs. How well they tell it is measured on rendered plates, not here."""

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.colour import SheetColour, plate_shine, sample_flesh
from grader.colour import shine as room
from tests.colour.made_up import pixels, plate, sheet_colour


@pytest.fixture(scope="module")
def colour(patch_lab: FloatArray) -> SheetColour:
    return sheet_colour(patch_lab)


def test_more_shine_is_told_drawn_towards_the_usual(colour: SheetColour, fry_lab: FloatArray) -> None:
    shines = (0.02, 0.05, 0.08)
    told = [plate_shine(plate(colour, fry_lab, shine), colour.correction).share for shine in shines]
    assert (np.diff(told) > 0.4 * np.diff(shines)).all()
    assert (np.diff(told) < np.diff(shines)).all()
    assert told[1] == pytest.approx(shines[1], abs=0.014)


def test_paler_or_browner_fries_shine_alike(colour: SheetColour, fry_lab: FloatArray) -> None:
    pale, brown = (
        plate_shine(plate(colour, lab, 0.05), colour.correction)
        for lab in (fry_lab[fry_lab[:, 0] > 60], fry_lab[fry_lab[:, 0] < 55])
    )
    assert pale.share == pytest.approx(brown.share, abs=pale.u)


def test_each_sign_is_what_it_says(colour: SheetColour, fry_lab: FloatArray) -> None:
    signs = room.shine_signs(plate(colour, fry_lab, 0.06), colour.correction)
    assert signs is not None
    # Flanks a third of a step browner look like 0.01 of shine.
    assert signs.between == pytest.approx(0.06, abs=0.015)
    # They differ by browning more than by shade.
    assert signs.with_red < 0


def test_without_flanks_the_usual_shine_is_taken_with_more_doubt(colour: SheetColour, fry_lab: FloatArray) -> None:
    rng = np.random.default_rng(5)
    samples = []
    for lab in fry_lab[:6]:
        rgb, _ = pixels(lab, shine=0.05, rng=rng)
        samples.append(sample_flesh(rgb, np.ones(len(rgb), bool), correction=colour.correction))
    assert all(np.isnan(sample.side_xyz).all() for sample in samples)
    told = plate_shine(plate(colour, fry_lab, 0.05), colour.correction)
    for few in (samples, []):
        usual = plate_shine(few, colour.correction)
        assert usual.u > told.u
        assert usual.share + colour.correction.haze == pytest.approx(room._USUAL)
