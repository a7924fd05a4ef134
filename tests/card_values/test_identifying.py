"""A printed card in a photo, known by its serial: its print run's values are used, unless they prove another's."""

from dataclasses import replace
from datetime import date

import cv2
import numpy as np
import pytest

from grader.arrays import ByteArray, frozen
from grader.card import Imprint, Serial, find_sheet, load_layouts, sheet_to_pixels
from grader.card.model import Layout
from grader.card_values import (
    CardValues,
    KnownValues,
    apply_values,
    as_of,
    card_words,
    designed_values,
    disowned,
    identify_card,
)
from grader.grading import GradedPhoto, grade_photo
from grader.standard import load_shipped
from tests.card.printed_photos import drawn, photographed
from tests.card.scenes import layout_of

SERIAL = Serial("K7Q2X", 14)
TODAY = date(2026, 11, 25)
STANDARD = load_shipped()["strips-9.5mm-skin-on"]


@pytest.fixture(scope="module")
def card() -> Layout:
    return layout_of("card-148")


def printed(layout: Layout, *, number: int) -> CardValues:
    """What a made-up printer made of the design, each ink off in its own way, and read without error."""
    off = np.random.default_rng(number).normal(0, [1.5, 3, 3], (len(layout.patches), 3))
    lab = np.array([patch.lab for patch in layout.patches]) + off
    lab[:, 0] = lab[:, 0].clip(5, layout.base_lab[0])
    designed = designed_values(layout, run="K7Q2X", printed_on=date(2026, 11, 1), expires_on=date(2027, 5, 1), by="AB")
    return replace(
        designed,
        patch_lab=frozen(lab),
        patch_lab_u=frozen(np.full_like(lab, 0.5)),
        base_lab_u=frozen(np.full(3, 0.5)),
        method="instrument",
    )


@pytest.fixture(scope="module")
def values(card: Layout) -> CardValues:
    return printed(card, number=1)


def taken(layout: Layout) -> ByteArray:
    imprint = Imprint(serial=SERIAL, printed=date(2026, 11, 1), renew_by=date(2027, 5, 1))
    return photographed(drawn(layout, imprint), px_per_mm=8)


@pytest.fixture(scope="module")
def photo(card: Layout, values: CardValues) -> ByteArray:
    """The card in the very colours that were measured."""
    return taken(apply_values(card, values))


def known(*values: CardValues, on: date = TODAY) -> KnownValues:
    return KnownValues(values=values, on=on)


def graded(pixels: ByteArray, known_values: KnownValues | None) -> GradedPhoto:
    _, packed = cv2.imencode(".png", pixels[..., ::-1])
    return grade_photo(packed.tobytes(), name="card.png", standard=STANDARD, known=known_values)


def codes(photo: GradedPhoto) -> set[str]:
    return {reason.code for reason in photo.reasons if reason.code.startswith("card_")}


def test_a_card_is_known_by_its_serial_and_takes_its_own_colours(photo: ByteArray, values: CardValues) -> None:
    sheet = find_sheet(photo, load_layouts(), focal_35mm=None)
    card = identify_card(photo, sheet, known(values))
    assert card.serial == SERIAL
    assert card.measured
    assert card.findings == ()
    np.testing.assert_array_equal([patch.lab for patch in card.sheet.layout.patches], values.patch_lab)
    assert card.designed == sheet.layout
    assert disowned(card).sheet.layout == sheet.layout
    unasked = identify_card(photo, sheet, None)
    assert (unasked.serial, unasked.values, unasked.findings, unasked.measured) == (SERIAL, None, (), False)


def test_measured_colours_fit_the_photo_better_than_the_design(photo: ByteArray, values: CardValues) -> None:
    by_values, by_design = graded(photo, known(values)), graded(photo, None)
    assert by_values.values is values
    assert by_values.serial == by_design.serial == SERIAL
    assert by_design.values is None
    assert by_values.colour_quality is not None
    assert by_design.colour_quality is not None
    print(f"{by_values.colour_quality.expected_de:.2f} by values, {by_design.colour_quality.expected_de:.2f} by design")
    assert by_values.colour_quality.expected_de < by_design.colour_quality.expected_de / 2
    assert codes(by_values) == codes(by_design) == set()


def test_another_cards_values_are_told_and_not_used(photo: ByteArray, card: Layout) -> None:
    others = graded(photo, known(printed(card, number=2)))
    alone = graded(photo, known())
    assert codes(others) == {"card_values_mismatch"}
    assert others.values is None
    assert alone.colour_quality is not None
    assert others.colour_quality == alone.colour_quality


def test_a_card_that_nobody_measured_is_said_quietly(photo: ByteArray) -> None:
    (reason,) = [reason for reason in graded(photo, known()).reasons if reason.code == "card_not_measured"]
    assert reason.quiet
    assert "K7Q2X" in reason.message


@pytest.mark.parametrize(("day", "told"), [(date(2027, 5, 1), set()), (date(2027, 5, 2), {"card_values_old"})])
def test_old_values_are_used_and_told(photo: ByteArray, values: CardValues, day: date, told: set[str]) -> None:
    sheet = find_sheet(photo, load_layouts(), focal_35mm=None)
    card = identify_card(photo, sheet, known(values, on=day))
    assert {finding.code for finding in card.findings} == told
    assert all("1 day ago" in finding.message for finding in card.findings)
    assert card.measured


def test_a_printed_run_that_is_old_is_told_too(photo: ByteArray, card: Layout) -> None:
    day = date(2026, 1, 1)
    old = designed_values(card, run="K7Q2X", printed_on=day, expires_on=date(2026, 7, 1), by="AB")
    found = identify_card(photo, find_sheet(photo, load_layouts(), focal_35mm=None), known(old))
    assert [finding.code for finding in found.findings] == ["card_values_old"]
    assert "was printed" in found.findings[0].message


def test_a_serial_that_can_not_be_read_is_told_where_it_would_matter(
    photo: ByteArray, card: Layout, values: CardValues
) -> None:
    hidden = photo.copy()
    sheet = find_sheet(photo, load_layouts(), focal_35mm=None)
    assert card.qr is not None
    area = card.qr
    corners = np.array([[area.x_mm, area.y_mm], [area.x_mm + area.width_mm, area.y_mm + area.height_mm]])
    (x0, y0), (x1, y1) = np.round(sheet_to_pixels(sheet, corners)).astype(int)
    hidden[y0:y1, x0:x1] = 120
    found = identify_card(hidden, sheet, known(values))
    assert found.serial is None
    assert [finding.code for finding in found.findings] == ["card_serial_unreadable"]
    assert [finding.code for finding in identify_card(hidden, sheet, known()).findings] == ["card_not_measured"]


def test_the_day_is_that_of_the_photo(values: CardValues) -> None:
    assert as_of(known(), "2026-03-05T12:10:00").on == date(2026, 3, 5)
    assert as_of(known(), "2031-03-05T12:10:00").on == TODAY
    assert as_of(known(), None).on == as_of(known(), "yesterday").on == TODAY
    assert as_of(known(values), None).values == (values,)


def test_a_card_in_a_line(values: CardValues) -> None:
    assert card_words(SERIAL, values) == (
        f"Card {SERIAL}: colours measured by instrument on 2026-11-01 by AB, to be used until 2027-05-01."
    )
    assert card_words(SERIAL, None) == f"Card {SERIAL}: colours as designed, this print run was not measured."
    assert "beside a chart" in card_words(SERIAL, replace(values, method="chart"))
