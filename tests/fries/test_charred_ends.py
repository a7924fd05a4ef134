"""Fries painted with an end that fades into char, labelled only as far as they have a colour."""

import numpy as np
import pytest

from grader.arrays import FloatArray, IntArray, LabelArray
from grader.fries.charred_ends import charred_ends, with_ends
from grader.fries.view import MM_PER_PX
from tests.fries.painted import BLACK_PLATE, GOLDEN, GREY_PLATE, WHITE_PLATE, Lab, Scene, xyz_of

DARK, CHARRED = (38.0, 12.0, 22.0), (27.0, 5.0, 9.0)
LENGTH, WIDTH, KEPT = 70.0, 9.5, 52.0
PARCHMENT = (88.0, 0.0, 8.0)


def fading(along: FloatArray) -> FloatArray:
    """(k, 3) XYZ from golden over dark to charred."""
    x = np.interp(along[:, None], [0, 38, KEPT, LENGTH], [0, 0, 1, 2])
    golden, dark, charred = (xyz_of(lab) for lab in (GOLDEN, DARK, CHARRED))
    return np.where(x < 1, golden + x * (dark - golden), dark + (x - 1) * (charred - dark))


def painted(
    plate: Lab, *, shadow: bool = False, turned_deg: float = 25.0, ends: bool = False
) -> tuple[Scene, IntArray]:
    """A fry of LENGTH whose last part is charred (or not there: `ends`), and its label, KEPT mm of it."""
    scene = Scene(ground=plate)
    turn = np.radians(turned_deg)
    off = scene.mm - [60.0, 45.0]
    along, across = off @ [np.cos(turn), np.sin(turn)], off @ [-np.sin(turn), np.cos(turn)]
    if shadow:
        scene.xyz[(np.abs(across) < 20) & (along > -5) & (along < LENGTH + 10)] *= 0.45
    beside = np.abs(across) < WIDTH / 2
    fry = beside & (along > 0) & (along < (KEPT if ends else LENGTH))
    scene.xyz[fry] = fading(along[fry])
    scene.fries |= fry
    scene.xyz *= np.random.default_rng(4).normal(1, 0.03, scene.xyz.shape)
    return scene, (beside & (along > 0) & (along < KEPT)).astype(int)


def goes_on(scene: Scene, labels: IntArray) -> LabelArray:
    return charred_ends(scene.view(), labels)


@pytest.mark.parametrize("shadow", [False, True])
@pytest.mark.parametrize("plate", [WHITE_PLATE, PARCHMENT, GREY_PLATE, BLACK_PLATE])
def test_a_charred_end_is_given_back_to_its_fry(plate: Lab, shadow: bool) -> None:
    scene, labels = painted(plate, shadow=shadow)
    found, lost = goes_on(scene, labels) == 1, scene.fries & (labels == 0)
    assert (found & lost).sum() > 0.85 * lost.sum()
    assert (found & ~scene.fries).sum() < 0.15 * lost.sum()


@pytest.mark.parametrize("shadow", [False, True])
@pytest.mark.parametrize("plate", [WHITE_PLATE, PARCHMENT, GREY_PLATE, BLACK_PLATE])
def test_a_dark_end_that_ends_gets_nothing(plate: Lab, shadow: bool) -> None:
    scene, labels = painted(plate, shadow=shadow, ends=True)
    assert not goes_on(scene, labels)[labels == 0].any()


def test_a_golden_end_is_not_followed() -> None:
    scene, labels = painted(GREY_PLATE)
    scene.xyz[labels > 0] = xyz_of(GOLDEN)
    assert not goes_on(scene, labels).any()


def test_what_belongs_to_another_fry_or_is_barred_stays_so() -> None:
    scene, labels = painted(WHITE_PLATE)
    labels[scene.fries & (labels == 0)] = 2
    assert not (goes_on(scene, labels) == 1)[labels != 1].any()
    scene, labels = painted(WHITE_PLATE)
    scene.barred |= labels == 0
    assert not goes_on(scene, labels)[labels == 0].any()


def test_scraps_of_the_end_that_kept_a_colour_are_part_of_it() -> None:
    scene, labels = painted(GREY_PLATE)
    lost = scene.fries & (labels == 0)
    rows, columns = np.nonzero(lost)
    islet = lost & (np.hypot(*(np.indices(lost.shape).T - [np.median(rows), np.median(columns)]).T) < 2.0 / MM_PER_PX)
    labels[islet] = 2
    assert (goes_on(scene, labels) == 1)[islet].all()


def test_a_scrap_and_an_empty_plate_are_left_alone() -> None:
    scene, labels = painted(WHITE_PLATE)
    assert not goes_on(scene, np.zeros_like(labels)).any()
    scrap = np.zeros_like(labels)
    scrap[100:103, 100:104] = 1
    assert not goes_on(scene, scrap).any()


def test_the_photos_own_labels_get_the_end_and_lose_nothing() -> None:
    scene, labels = painted(GREY_PLATE)
    beyond = goes_on(scene, labels)
    photo = np.kron(labels, np.ones((3, 3))).astype(np.uint16)
    whole = with_ends(photo, beyond)
    assert (whole[photo > 0] == photo[photo > 0]).all()
    added_mm2 = ((whole > 0) & (photo == 0)).sum() * (MM_PER_PX / 3) ** 2
    assert added_mm2 == pytest.approx((LENGTH - KEPT) * WIDTH, rel=0.15)
    assert with_ends(photo, np.zeros_like(beyond)) is photo
