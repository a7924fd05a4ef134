"""Values as a document: back as they went in; what is wrong comes out all at once."""

from dataclasses import fields, replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.card.layouts import load_layouts
from grader.card.model import Layout
from grader.card_values import CardValues, designed_values, read_values, write_values
from grader.card_values.document import CHARACTERS_AT_MOST
from grader.errors import DocumentFaulty


def same(one: object, other: object) -> None:
    assert type(one) is type(other)
    for field in fields(one):  # type: ignore[arg-type]
        a, b = getattr(one, field.name), getattr(other, field.name)
        if isinstance(a, np.ndarray):
            np.testing.assert_array_equal(a, b)
        elif field.name == "as_read":
            for read, other_read in zip(a, b, strict=True):
                same(read, other_read)
        else:
            assert a == b


def faults_of(text: str) -> dict[str, str]:
    with pytest.raises(DocumentFaulty) as caught:
        read_values(text, name="run.toml", layouts=load_layouts())
    assert caught.value.hint
    return {fault.field: fault.message for fault in caught.value.faults}


def test_a_card_comes_back_as_it_went_in(measured: CardValues) -> None:
    same(read_values(write_values(measured), name="x", layouts=load_layouts()), measured)


def test_a_mat_comes_back_with_its_field(measured_mat: CardValues) -> None:
    same(read_values(write_values(measured_mat), name="x", layouts=load_layouts()), measured_mat)


def test_what_was_never_measured_comes_back_too(card: Layout) -> None:
    designed = designed_values(card, run="K7Q2X", printed_on=date(2026, 11, 1), expires_on=date(2027, 11, 1), by="AB")
    assert not designed.measured
    same(read_values(write_values(designed), name="x", layouts=load_layouts()), designed)


@given(st.floats(0, 100), st.floats(-128, 128), st.text(st.characters(exclude_categories=["Cs"]), max_size=40))
def test_no_number_and_no_word_is_lost(L: float, a: float, words: str) -> None:
    card = next(layout for layout in load_layouts() if layout.key == "card-a6")
    designed = designed_values(card, run="K7Q2X", printed_on=date(2026, 1, 1), expires_on=date(2027, 1, 1), by="AB")
    lab = designed.patch_lab.copy()
    lab[3] = [L, a, -a]
    values = replace(designed, patch_lab=lab, instrument=words)
    same(read_values(write_values(values), name="x", layouts=load_layouts()), values)


def test_faults_of_single_fields_come_all_at_once(measured: CardValues) -> None:
    text = write_values(measured)
    text = text.replace('run = "K7Q2X"', 'run = "../K7"').replace("base_lab = [94.1", "base_lab = [194.1")
    text = text.replace('method = "instrument"', 'method = "guess"').replace("measured_by", "measurd_by")
    found = faults_of(text)
    assert set(found) >= {"run", "base_lab[1]", "method", "measurd_by", "measured_by"}
    assert "no name of a print run" in found["run"]


def test_faults_between_fields_come_all_at_once(measured: CardValues, measured_mat: CardValues) -> None:
    wrong = replace(
        measured,
        expires_on=date(2026, 11, 19),
        patch_lab=measured.patch_lab[:20],
        base_lab_u=np.zeros(3),
        field_lab=measured_mat.field_lab,
    )
    found = faults_of(write_values(wrong))
    assert "before the day" in found["expires_on"]
    assert "24 entries for 20" in found["patch_lab_u"] or "no measurement is that sure" in found["patch_lab_u"]
    assert "card-a6 has 24" in found["patch_lab"]
    assert "both be given" in found["field_lab_u"]
    assert "a card has none" in found["field_lab"]


def test_a_sheet_that_nobody_knows(measured: CardValues) -> None:
    assert "card-a6" in faults_of(write_values(replace(measured, layout="card-a9")))["layout"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("run = ", "not valid TOML"),
        ("a = " + "[" * 5000, "nested too deep"),
        ("a = " + "9" * 5000, "not valid TOML"),
        ("#" * (CHARACTERS_AT_MOST + 1), "longer than"),
    ],
    ids=["cut off", "nested", "long number", "long"],
)
def test_text_that_is_no_document(text: str, told: str) -> None:
    assert told in faults_of(text)["the file"]


@pytest.mark.parametrize("number", ["nan", "inf", '"7"', "true", "[1.0]"])
def test_what_is_no_number_is_none(measured: CardValues, number: str) -> None:
    assert faults_of(write_values(measured).replace("base_lab = [94.1", f"base_lab = [{number}"))
