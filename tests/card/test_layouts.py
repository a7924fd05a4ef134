from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.card import load_layouts, read_layout
from grader.card.layouts import _faults_between
from grader.card.model import Layout
from grader.card.zones import bare_spots_mm, field_spots_mm, print_area, rule_areas
from grader.errors import DocumentFaulty
from grader.places import calibration_folder

LAYOUTS = load_layouts()
PRINTABLE = [layout for layout in LAYOUTS if layout.printable]
EXPECTED = {
    "card-a6": ("card", 148, 105, range(4), 24),
    "card-a6-inks": ("card", 148, 105, range(24, 28), 24),
    "card-148": ("card", 148, 105, range(48, 52), 24),
    "mat-254": ("mat", 254, 186, range(52, 60), 38),
    "mat-396": ("mat", 396, 254, range(60, 68), 59),
    "mat-a4": ("mat", 297, 210, range(16, 24), 36),
    "mat-a4-inks": ("mat", 297, 210, range(32, 40), 36),
    "mat-a3": ("mat", 420, 297, range(8, 16), 64),
    "mat-a3-inks": ("mat", 420, 297, range(40, 48), 64),
}
UNMOVED = {
    "card-a6": (324, 65765.0),
    "card-a6-inks": (324, 65765.0),
    "mat-a4": (746, 321954.0),
    "mat-a4-inks": (746, 321954.0),
    "mat-a3": (1077, 646014.0),
    "mat-a3-inks": (1077, 646014.0),
}
"""Number of spots of bare paper, and the sum of x + 3 y over them, as they were before sheets had a QR code."""


def layout_of(key: str) -> Layout:
    return next(layout for layout in LAYOUTS if layout.key == key)


def text_of(key: str) -> str:
    return (calibration_folder() / "layouts" / f"{key}.toml").read_text(encoding="utf-8")


def faults_of(tmp_path: Path, text: str) -> dict[str, str]:
    path = tmp_path / "sheet.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DocumentFaulty) as caught:
        read_layout(path)
    assert caught.value.name == "sheet.toml"
    return {fault.field: fault.message for fault in caught.value.faults}


def test_the_nine_sheets_are_there() -> None:
    found = {
        layout.key: (layout.kind, layout.width_mm, layout.height_mm, range(t[0].number, t[-1].number + 1), n)
        for layout in LAYOUTS
        if (t := layout.tags) and (n := len(layout.patches))
    }
    assert found == EXPECTED


def test_an_edition_differs_from_its_sheet_in_tags_and_colours_only() -> None:
    for key in ("card-a6", "mat-a4", "mat-a3"):
        plain, inks = layout_of(key), layout_of(f"{key}-inks")
        assert [(t.x_mm, t.y_mm) for t in plain.tags] == [(t.x_mm, t.y_mm) for t in inks.tags]
        assert [p.area for p in plain.patches] == [p.area for p in inks.patches]
        assert [p.lab for p in plain.patches] != [p.lab for p in inks.patches]


def test_every_fault_of_a_file_is_reported_at_once(tmp_path: Path) -> None:
    text = (
        text_of("card-a6").replace("tag_size_mm = 18.0", "tag_size_mm = -1.0").replace('kind = "card"', 'kind = "rug"')
    )
    text = text.replace("lab = [95.5, -0.4, 1.2]", "lab = [195.5, -0.4, 1.2]")
    assert set(faults_of(tmp_path, "colour = 3\n" + text)) == {"kind", "tag_size_mm", "patches[1].lab[1]", "colour"}


def test_a_syntax_error_says_where(tmp_path: Path) -> None:
    assert "line 2" in faults_of(tmp_path, 'key = "x"\nname = \n')["the file"]


@pytest.mark.parametrize(
    ("old", "new", "field", "words"),
    [
        ("{ number = 1, at_mm = [126.0, 4.0] }", "{ number = 1, at_mm = [129.0, 4.0] }", "tag 1", "does not lie on"),
        ("{ number = 1, at_mm = [126.0, 4.0] }", "{ number = 1, at_mm = [110.0, 4.0] }", "patch 6", "overlaps tag 1"),
        ("{ number = 1, at_mm = [126.0", "{ number = 0, at_mm = [126.0", "tag 0", "more than once"),
        ("{ number = 2, at_mm = [42.4", "{ number = 1, at_mm = [42.4", "patch 1", "more than once"),
        ('kind = "card"', 'kind = "mat"', "field", "a mat has a field"),
    ],
)
def test_a_sheet_that_cannot_work_is_refused(tmp_path: Path, old: str, new: str, field: str, words: str) -> None:
    text = text_of("card-a6")
    assert old in text
    assert words in faults_of(tmp_path, text.replace(old, new))[field]


def test_no_two_sheets_may_share_a_tag_or_a_key() -> None:
    card = layout_of("card-a6")
    messages = " ".join(fault.message for fault in _faults_between([card, replace(card)]))
    assert "used by two files" in messages
    assert "shares [0, 1, 2, 3]" in messages


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.key)
def test_spots_of_bare_paper_touch_nothing_printed(layout: Layout) -> None:
    boxes = [(t.x_mm, t.y_mm, layout.tag_size_mm, layout.tag_size_mm) for t in layout.tags]
    areas = [p.area for p in layout.patches] + [*rule_areas(layout), print_area(layout)]
    areas += [area for area in (layout.field, layout.qr) if area]
    boxes += [(a.x_mm, a.y_mm, a.width_mm, a.height_mm) for a in areas]
    spots = bare_spots_mm(layout)
    for x, y, w, h in boxes:
        nearest = np.clip(spots, [x, y], [x + w, y + h])
        assert np.linalg.norm(spots - nearest, axis=1).min() > 1.1
    assert len(spots) > 200


def test_field_spots_lie_on_the_field() -> None:
    mat = layout_of("mat-a4")
    assert len(field_spots_mm(layout_of("card-a6"))) == 0
    spots, field = field_spots_mm(mat), mat.field
    assert field is not None
    assert len(spots) > 500
    assert spots[:, 0].min() > field.x_mm + 2
    assert spots[:, 0].max() < field.x_mm + field.width_mm - 2
    assert spots[:, 1].min() > field.y_mm + 2
    assert spots[:, 1].max() < field.y_mm + field.height_mm - 2


def test_those_that_can_be_printed_are_the_new_ones() -> None:
    assert [layout.key for layout in LAYOUTS if layout.printable] == ["card-148", "mat-254", "mat-396"]


@pytest.mark.parametrize("layout", PRINTABLE, ids=lambda layout: layout.key)
def test_no_patch_of_a_sheet_to_print_is_lighter_than_its_paper(layout: Layout) -> None:
    lightness = [patch.lab[0] for patch in layout.patches]
    assert max(lightness) == layout.base_lab[0]
    assert [patch.lab for patch in layout.patches].count(layout.base_lab) == 1
    assert layout.field_lab is None or layout.field_lab[0] < layout.base_lab[0]


@pytest.mark.parametrize("layout", PRINTABLE, ids=lambda layout: layout.key)
def test_what_a_sheet_asks_of_a_printer_lies_within_srgb(layout: Layout) -> None:
    """Else the file would ask for another colour than the table says. The matrix: IEC 61966-2-1."""
    to_rgb = np.array([[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]])
    white = xyz_of((100.0, 0.0, 0.0))
    for patch in layout.patches:
        rgb = to_rgb @ (xyz_of(patch.lab) / xyz_of(layout.base_lab) * white)
        assert rgb.min() > -0.002, patch
        assert rgb.max() < 1.002, patch


def xyz_of(lab: tuple[float, float, float]) -> FloatArray:
    """XYZ of CIELAB above L* 8, D65 (Xn 0.9505, Zn 1.0891). Source: CIE 15."""
    y = (lab[0] + 16) / 116
    return np.asarray(np.array([0.9505, 1.0, 1.0891]) * np.array([y + lab[1] / 500, y, y - lab[2] / 200]) ** 3)


def test_neutral_steps_go_from_the_paper_to_the_darkest_that_matt_paper_bears_in_even_steps() -> None:
    neutral = sorted(p.lab[0] for p in layout_of("card-148").patches if np.hypot(*p.lab[1:]) < 3)
    assert len(neutral) == 6
    assert neutral[0] >= 25  # common practice: pigment black on matt paper is no darker than L* 15 to 25
    assert max(np.diff(neutral)) / min(np.diff(neutral)) < 1.7


@pytest.mark.parametrize(
    ("old", "new", "field", "words"),
    [
        ("lab = [84.0, -0.5, 0.4]", "lab = [93.6, -0.5, 0.4]", "patch 2", "lighter than the paper"),
        ("[qr]\nat_mm = [3.7, 43.0]\nside_mm = 18.9", "", "qr", "QR code of its serial"),
        ("at_mm = [3.7, 43.0]", "at_mm = [3.0, 43.0]", "qr", "does not lie on"),
        ("at_mm = [3.7, 43.0]", "at_mm = [4.1, 43.0]", "patch 13", "overlaps qr"),
    ],
)
def test_a_sheet_that_cannot_be_printed_is_refused(tmp_path: Path, old: str, new: str, field: str, words: str) -> None:
    text = text_of("card-148")
    assert old in text
    assert words in faults_of(tmp_path, text.replace(old, new))[field]


def test_a_field_lighter_than_the_paper_is_refused(tmp_path: Path) -> None:
    text = text_of("mat-254").replace("lab = [45.0, 0.0, 0.0]", "lab = [95.0, 0.0, 0.0]")
    assert "lighter" in faults_of(tmp_path, text)["field"]


def test_spots_of_the_sheets_in_the_sample_photos_have_not_moved() -> None:
    """Readings of photos that were graded before hang on them."""
    spots = {layout.key: bare_spots_mm(layout) for layout in LAYOUTS if not layout.printable}
    assert {key: (len(xy), float(np.round((xy * [1.0, 3.0]).sum(), 3))) for key, xy in spots.items()} == UNMOVED
