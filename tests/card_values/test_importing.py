"""Readings of an instrument become the values of a print run."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.card.layouts import load_layouts
from grader.card.model import Layout
from grader.card_values import (
    CardValues,
    Measurement,
    import_readings,
    keep_values,
    read_values,
    template_csv,
    write_values,
)
from grader.card_values.importing import CARDS_SD, INSTRUMENT_U
from grader.card_values.readings import White
from grader.colour import ciede2000
from grader.errors import DocumentFaulty
from tests.card_values.reference import colour
from tests.card_values.tables import cgats_of, csv_of, lab_of, lab_rows

LAB_FIELDS = ["SAMPLE_ID", "LAB_L", "LAB_A", "LAB_B"]
D50_STATED = ('WEIGHTING_FUNCTION "ILLUMINANT, D50"', 'WEIGHTING_FUNCTION "OBSERVER, 2 degree"')


def by(white: White | None = None, **others: Any) -> Measurement:
    facts: dict[str, Any] = {
        "run": "K7Q2X",
        "white": white,
        "measured_on": date(2026, 11, 20),
        "expires_on": date(2027, 11, 20),
        "measured_by": "AB",
        "instrument": "45/0, M1",
    }
    return Measurement(**(facts | others))


def imported(layout: Layout, *texts: str, measurement: Measurement) -> CardValues:
    files = [(f"card{n}.txt", text.encode()) for n, text in enumerate(texts, 1)]
    return import_readings(files, layout, measurement=measurement)


def told(layout: Layout, text: str, white: White | None = "D65") -> list[str]:
    with pytest.raises(DocumentFaulty) as caught:
        imported(layout, text, measurement=by(white))
    return [str(fault) for fault in caught.value.faults]


def from_d50(lab: FloatArray) -> FloatArray:
    """By colour-science: CIELAB of D50 to CIELAB of D65, Bradford; the whites are those of CIE 15 as it holds them."""
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    xyz = colour.chromatic_adaptation(
        colour.Lab_to_XYZ(lab, whites["D50"]),
        colour.xy_to_XYZ(whites["D50"]),
        colour.xy_to_XYZ(whites["D65"]),
        method="Von Kries",
        transform="Bradford",
    )
    return np.asarray(colour.XYZ_to_Lab(xyz, whites["D65"]), float)


def test_d65_readings_are_taken_as_they_are(card: Layout) -> None:
    lab = lab_of(card) + np.array([0.5, -1, 2])
    lab[0, 0] = 96.0
    values = imported(card, csv_of(card, lab), measurement=by("D65"))
    np.testing.assert_allclose(values.patch_lab, lab[:24])
    np.testing.assert_allclose(values.base_lab, lab[24])
    assert values.field_lab is None
    assert values.field_lab_u is None
    assert (values.run, values.layout, values.method) == ("K7Q2X", "card-a6", "instrument")
    assert (values.measured_by, values.instrument) == ("AB", "45/0, M1")
    assert values.measured_on == date(2026, 11, 20)
    assert values.as_read[0].white == "D65"


def test_d50_readings_are_adapted_and_both_are_kept(card: Layout) -> None:
    lab = lab_of(card)
    values = imported(card, cgats_of(LAB_FIELDS, lab_rows(lab), statements=D50_STATED), measurement=by())
    np.testing.assert_allclose(values.patch_lab, from_d50(lab[:24]), atol=0.01)
    assert ciede2000(values.patch_lab, lab[:24]).max() > 1
    read = values.as_read[0]
    np.testing.assert_allclose(read.patch_lab, lab[:24])
    np.testing.assert_allclose(read.base_lab, lab[24])
    assert (read.white, read.quantity, read.source) == ("D50", "lab", "card1.txt")
    assert len(read.source_sha256) == 64


@pytest.mark.parametrize("white", ["D50", "D65"])
def test_xyz_readings(card: Layout, white: White) -> None:
    lab = lab_of(card)
    whites = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]
    xyz = np.asarray(colour.Lab_to_XYZ(lab, whites[white])) * 100
    rows = [[n, *(f"{v:.5f}" for v in row)] for n, row in enumerate(xyz.tolist(), 1)]
    values = imported(card, cgats_of(["SAMPLE_ID", "XYZ_X", "XYZ_Y", "XYZ_Z"], rows), measurement=by(white))
    np.testing.assert_allclose(values.as_read[0].patch_lab, lab[:24], atol=0.01)
    np.testing.assert_allclose(values.patch_lab, from_d50(lab[:24]) if white == "D50" else lab[:24], atol=0.01)


def test_spectra_count_before_the_colours_beside_them_and_need_no_white(card: Layout) -> None:
    """Flat greys: a reflectance everywhere the same has the L* of CIE 15 and no colour in any light."""
    lab = lab_of(card) * [1, 0, 0]
    share = ((lab[:, 0] + 16) / 116) ** 3
    nm = range(400, 701, 20)
    fields = ["SAMPLE_ID", "LAB_L", "LAB_A", "LAB_B", *(f"SPECTRAL_NM{n}" for n in nm)]
    rows = [[n, 50, 0, 0, *[f"{y:.7f}"] * len(nm)] for n, y in enumerate(share.tolist(), 1)]
    grey = layout_in(card, lab)
    values = imported(grey, cgats_of(fields, rows), measurement=by())
    np.testing.assert_allclose(values.patch_lab, lab[:24], atol=0.001)
    assert (values.as_read[0].quantity, values.as_read[0].white) == ("spectrum", "D65")


def layout_in(card: Layout, lab: FloatArray) -> Layout:
    """A sheet designed in other colours."""
    patches = tuple(replace(p, lab=tuple(row)) for p, row in zip(card.patches, lab.tolist(), strict=False))
    return replace(card, patches=patches, base_lab=tuple(lab[24].tolist()))


def test_a_mats_field_is_read_too(mat: Layout) -> None:
    lab = lab_of(mat)
    values = imported(mat, csv_of(mat, lab), measurement=by("D65"))
    assert values.field_lab is not None
    np.testing.assert_allclose(values.field_lab, lab[-1])
    np.testing.assert_allclose(values.base_lab, lab[-2])
    assert values.field_lab_u is not None


def test_samples_in_any_order_and_by_name(card: Layout) -> None:
    lab = lab_of(card)
    order = np.random.default_rng(2).permutation(25)
    names = [*(f"{n:02}" for n in range(1, 25)), "Paper"]
    rows = [[n, names[k], *lab[k].tolist()] for n, k in enumerate(order.tolist(), 1)]
    fields = ["SAMPLE_ID", "SAMPLE_NAME", "LAB_L", "LAB_A", "LAB_B"]
    values = imported(card, cgats_of(fields, rows), measurement=by("D65"))
    np.testing.assert_allclose(values.patch_lab, lab[:24])


def test_names_that_are_no_samples_leave_the_count(card: Layout) -> None:
    lab = lab_of(card)
    rows = [[n, f"A{n}", *lab[n - 1].tolist()] for n in range(1, 26)]
    fields = ["SAMPLE_ID", "SAMPLE_NAME", "LAB_L", "LAB_A", "LAB_B"]
    np.testing.assert_allclose(imported(card, cgats_of(fields, rows), measurement=by("D65")).base_lab, lab[24])


def test_the_template_filled_in_with_decimal_commas_is_read(card: Layout, mat: Layout) -> None:
    for layout in (card, mat):
        lab = lab_of(layout)
        head, *rows = [line for line in template_csv(layout).splitlines() if not line.startswith("#")]
        filled = [
            row.replace(",,,", ";" + ";".join(f"{v:.2f}".replace(".", ",") for v in values)).replace(",", ";", 1)
            for row, values in zip(rows, lab.tolist(), strict=True)
        ]
        text = "\n".join([head.replace(",", ";"), *filled])
        np.testing.assert_allclose(imported(layout, text, measurement=by("D65")).base_lab, layout.base_lab)


def test_an_empty_template_is_told_row_by_row(card: Layout) -> None:
    faults = told(card, template_csv(card))
    assert len(faults) == 25
    assert all("no number" in fault for fault in faults)


def test_one_card_and_its_doubt(card: Layout) -> None:
    values = imported(card, csv_of(card, lab_of(card)), measurement=by("D65"))
    np.testing.assert_allclose(values.patch_lab_u, np.sqrt(INSTRUMENT_U**2 + 2 * CARDS_SD**2))


def test_several_cards_give_their_mean_and_their_spread(card: Layout) -> None:
    """The doubt covers a card of the run that was not read: checked on 4000 drawn runs of three cards."""
    generator = np.random.default_rng(11)
    sd = np.array([0.4, 0.8, 1.2])
    truth = lab_of(card) * [0.95, 1, 1]
    texts = [csv_of(card, truth + generator.normal(0, sd, truth.shape)) for _ in range(3)]
    values = imported(card, *texts, measurement=by("D65", instrument_u=0.0001))
    assert len(values.as_read) == 3
    np.testing.assert_allclose(values.patch_lab, np.mean([read.patch_lab for read in values.as_read], axis=0))
    expected = sd * np.sqrt(1 + 1 / 3)
    np.testing.assert_allclose(values.patch_lab_u[0], expected, rtol=0.25)
    drawn = generator.normal(0, sd, (4000, 4, 3))
    actual = (drawn[:, 3] - drawn[:, :3].mean(axis=1)).std(axis=0)
    np.testing.assert_allclose(actual, expected, rtol=0.05)


def test_the_same_readings_twice_are_no_second_card(card: Layout) -> None:
    """They would scatter by nothing, and halve the doubt of the one card that was read."""
    first = csv_of(card, lab_of(card))
    other = csv_of(card, lab_of(card) * [0.97, 1, 1])
    with pytest.raises(DocumentFaulty, match=r"card3\.txt .*\n.*same readings as card1\.txt"):
        imported(card, first, other, f"# saved again\n{first}", measurement=by("D65"))


def test_no_file_is_a_slip_of_the_caller(card: Layout) -> None:
    with pytest.raises(ValueError, match="at least one"):
        import_readings([], card, measurement=by("D65"))


def test_what_is_imported_is_kept_and_read_again(card: Layout, tmp_path: Any) -> None:
    values = imported(card, csv_of(card, lab_of(card)), measurement=by("D65"))
    keep_values(tmp_path, values)
    again = read_values(write_values(values), name="x", layouts=load_layouts())
    np.testing.assert_array_equal(again.patch_lab_u, values.patch_lab_u)
    with pytest.raises(DocumentFaulty, match="measured_by"):
        keep_values(tmp_path, imported(card, csv_of(card, lab_of(card)), measurement=by("D65", measured_by="")))


def edited(card: Layout, *changes: Callable[[list[str]], None]) -> str:
    lines = csv_of(card, lab_of(card)).splitlines()
    for change in changes:
        change(lines)
    return "\n".join(lines)


def test_as_many_cards_as_anybody_reads_can_be_kept(tmp_path: Any) -> None:
    """Of the sheet with most patches, each number with all its digits."""
    largest = max(load_layouts(), key=lambda layout: len(layout.patches))
    generator = np.random.default_rng(3)
    D50, truth = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"], lab_of(largest) * [0.97, 1, 1]
    read = [colour.Lab_to_XYZ(truth + generator.normal(0, 0.3, truth.shape), D50) * 100 for _ in range(40)]
    texts = [csv_of(largest, np.asarray(xyz, np.float64), header="number,X,Y,Z") for xyz in read]
    values = imported(largest, *texts, measurement=by("D50"))
    kept = keep_values(tmp_path, values)
    assert len(read_values(kept.read_text(encoding="utf-8"), name="kept", layouts=load_layouts()).as_read) == 40


def test_all_faults_at_once_each_with_its_line(card: Layout) -> None:
    def spoil(lines: list[str]) -> None:
        lines[3] = "3,195.0,0,0"
        lines[5] = "5,36.0,nan,0"
        lines[6] = "5,21.0,0.1,-0.5"
        lines[7] = "77,77,0,21"
        lines[9] = "9,67.0,4.0,350"

    faults = told(card, edited(card, spoil), white=None)
    assert [fault for fault in faults if "the white" in fault]
    assert "line 7, sample 5: is there twice, first on line 6" in faults
    assert "line 8, sample 77: is none of this sheet's" in faults
    assert "the file: has no reading of 6, 7" in faults
    assert "line 4, sample 3: is out of bounds: 195" in faults
    assert "line 6, sample 5: has an entry that is no number" in faults
    assert "line 10, sample 9: is out of bounds: 350" in faults
    assert len(faults) == 7


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda card: csv_of(card, lab_of(card) / 100), "white has an L* of 100; multiply by 100"),
        (lambda card: csv_of(card, lab_of(card)[:, [0, 0, 0]] / 100, header="number,X,Y,Z"), "white has a Y of 100"),
        (lambda card: csv_of(card, lab_of(card), header="number,R,G,B"), "no columns L, a, b"),
        (lambda card: csv_of(card, lab_of(card), header="what,L,a,b"), "no column NUMBER"),
        (lambda card: csv_of(card, lab_of(card)[::-1]), "were samples mixed up?"),
        (lambda _: "number,L,a,b\n", "has no reading of 1, 2, 3"),
        (
            lambda _: cgats_of(
                ["SAMPLE_ID", *(f"SPECTRAL_NM{n}" for n in range(400, 701, 10))],
                [[n, *[80.0] * 31] for n in range(1, 26)],
            ),
            "white reflects 1; divide by 100",
        ),
        (
            lambda _: cgats_of(
                ["SAMPLE_ID", *(f"SPECTRAL_NM{n}" for n in range(450, 651, 10))],
                [[n, *[0.8] * 21] for n in range(1, 26)],
            ),
            "don't span 400 to 700 nm",
        ),
        (lambda _: cgats_of(["SAMPLE_ID", "SPECTRAL_NM450"], [[n, 0.8] for n in range(1, 26)]), "don't span"),
        (
            lambda card: cgats_of(LAB_FIELDS, lab_rows(lab_of(card)), statements=D50_STATED),
            "is D50 in the file, and you said D65",
        ),
        (
            lambda card: cgats_of(
                LAB_FIELDS, lab_rows(lab_of(card)), statements=['WEIGHTING_FUNCTION "ILLUMINANT, A"']
            ),
            "is A in the file; only D50 and D65",
        ),
        (
            lambda card: cgats_of(
                LAB_FIELDS, lab_rows(lab_of(card)), statements=['WEIGHTING_FUNCTION "OBSERVER, 10 degree"']
            ),
            "of 10 degrees in the file; 2 is needed",
        ),
    ],
)
def test_readings_that_are_none_of_this_sheet(card: Layout, make: Callable[[Layout], str], words: str) -> None:
    assert any(words in fault for fault in told(card, make(card)))


def test_no_white_is_taken_for_granted(card: Layout) -> None:
    assert any("say D50" in fault for fault in told(card, csv_of(card, lab_of(card)), white=None))
