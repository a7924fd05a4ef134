"""Plates of made-up fries with one thing among them: told where it is like no fry there, and only there."""

from dataclasses import replace

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.arrays import FloatArray, LabelArray, frozen
from grader.fries.model import Colour, Fry, Measured, Plate, Thing
from grader.fries.no_fries import hollow_mm, things_among, without_things
from tests.records import made_up

SIZE = 900, 700
PX_PER_MM = 4.0
ODD_ONE = 7
"""The number of the thing."""


def coloured(fry: Fry, lab: tuple[float, float, float]) -> Fry:
    assert fry.colour is not None
    return replace(fry, colour=Colour(lab=frozen(np.array(lab)), shared=fry.colour.shared, own_u=fry.colour.own_u))


def sized(fry: Fry, *, length: float, width: float) -> Fry:
    y = fry.centreline_px[0, 1]
    half, right = width * PX_PER_MM / 2, 40 + length * PX_PER_MM
    outline = np.array([(40, y - half), (right, y - half), (right, y + half), (40, y + half)])
    return replace(
        fry,
        outline_px=frozen(outline),
        centreline_px=frozen(np.array([(40.0, y), (right, y)])),
        length_mm=Measured(value=length, u=0.6),
        width_mm=Measured(value=width, u=0.3),
        area_mm2=length * width,
    )


def six(lab: tuple[float, float, float] = (60.0, 8.0, 35.0)) -> list[Fry]:
    return [made_up.fry(number, y=60.0 * number, lab=lab) for number in range(1, ODD_ONE)]


def labels_of(fries: list[Fry]) -> LabelArray:
    labels = np.zeros(SIZE[::-1], np.uint16)
    for fry in fries:
        cv2.fillPoly(labels, [np.round(fry.outline_px).astype(np.int32).reshape(-1, 1, 2)], fry.number)
    return labels


def told(thing: Fry, *, among: list[Fry] | None = None) -> dict[int, Thing]:
    fries = [*(six() if among is None else among), thing]
    return things_among(fries, labels_of(fries))


def odd_one() -> Fry:
    return made_up.fry(ODD_ONE, y=520.0)


@pytest.mark.parametrize(("length", "width"), [(150.0, 3.0), (100.0, 4.0)])
def test_a_skewer_and_a_flat_stick_are_sticks(length: float, width: float) -> None:
    assert told(sized(odd_one(), length=length, width=width)) == {ODD_ONE: Thing.STICK}


def test_part_of_a_bare_stick_is_told_by_its_pale_wood() -> None:
    part = sized(odd_one(), length=40.0, width=2.5)
    assert told(part) == {}
    assert told(coloured(part, (78.0, 4.0, 24.0))) == {ODD_ONE: Thing.STICK}


@pytest.mark.parametrize(("length", "width"), [(70.0, 3.6), (25.0, 4.0), (130.0, 9.0)])
def test_slivers_and_long_fries_stay(length: float, width: float) -> None:
    assert told(sized(odd_one(), length=length, width=width)) == {}


def test_a_plate_of_shoestrings_is_a_plate_of_fries() -> None:
    thin = [sized(fry, length=110.0, width=4.0) for fry in six()]
    assert told(sized(odd_one(), length=120.0, width=4.0), among=thin) == {}


def test_a_carrot_is_told_among_fries_and_not_among_its_like() -> None:
    orange = (61.0, 36.0, 54.0)
    assert told(coloured(odd_one(), orange)) == {ODD_ONE: Thing.OTHER_FOOD}
    assert told(coloured(odd_one(), orange), among=six(orange)) == {}


@given(dark=st.floats(0, 1))
def test_however_brown_a_fry_is_it_stays(dark: float) -> None:
    """From pale to burnt, along the colours of rendered fries (`sample_images`)."""
    lab = np.array([72.0, -0.5, 24.0]) * (1 - dark) + np.array([35.0, 13.5, 20.0]) * dark
    assert told(coloured(odd_one(), (lab[0], lab[1], lab[2]))) == {}


def pronged() -> tuple[Fry, FloatArray]:
    """A wooden pick, and the gap between its prongs."""
    pick = sized(odd_one(), length=86.0, width=10.0)
    y, right = pick.centreline_px[0, 1], pick.centreline_px[1, 0]
    return pick, np.array([(right - 96, y - 9), (right + 9, y - 9), (right + 9, y + 9), (right - 96, y + 9)])


def test_a_pick_is_told_by_the_gap_between_its_prongs() -> None:
    pick, gap = pronged()
    labels = labels_of([*six(), pick])
    assert things_among([*six(), pick], labels) == {}
    cv2.fillPoly(labels, [gap.astype(np.int32).reshape(-1, 1, 2)], 0)
    assert things_among([*six(), pick], labels) == {ODD_ONE: Thing.PRONGS}


@pytest.mark.parametrize("every_mm", [0.1, 0.25, 0.6])
def test_the_hollow_is_as_long_as_the_gap(every_mm: float) -> None:
    mask = np.zeros((60, 400), bool)
    mask[20:40, 20:380] = True
    mask[25:35, 200:300] = False
    line = np.array([[20.0, 30.0], [380.0, 30.0]])
    assert hollow_mm(mask, line, every_mm) == pytest.approx(100 * every_mm, abs=4 * every_mm + 1)
    assert hollow_mm(np.ones_like(mask), line, every_mm) < 1


def test_few_fries_say_nothing_of_each_other() -> None:
    stick = sized(odd_one(), length=150.0, width=3.0)
    assert told(stick, among=six()[:3]) == {}


def test_what_is_left_out_keeps_its_place_and_number() -> None:
    fries = [*six(), sized(odd_one(), length=150.0, width=3.0)]
    plate = Plate(fries=tuple(fries), labels=frozen(labels_of(fries)), heaped=False)
    parted = without_things(plate)
    assert [fry.number for fry in parted.fries] == [1, 2, 3, 4, 5, 6]
    assert [one.fry.number for one in parted.no_fries] == [ODD_ONE]
    assert not (parted.labels == ODD_ONE).any()
    np.testing.assert_array_equal(parted.lying, plate.labels)
    heap = replace(plate, heaped=True)
    assert without_things(heap) is heap
