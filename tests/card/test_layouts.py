from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from grader.card import load_layouts, read_layout
from grader.card.layouts import _faults_between
from grader.card.model import Layout
from grader.card.zones import bare_spots_mm, field_spots_mm, print_area, rule_area
from grader.errors import DocumentFaulty
from grader.places import calibration_folder

LAYOUTS = load_layouts()
EXPECTED = {
    "card-a6": ("card", 148, 105, range(4), 24),
    "card-a6-inks": ("card", 148, 105, range(24, 28), 24),
    "mat-a4": ("mat", 297, 210, range(16, 24), 36),
    "mat-a4-inks": ("mat", 297, 210, range(32, 40), 36),
    "mat-a3": ("mat", 420, 297, range(8, 16), 64),
    "mat-a3-inks": ("mat", 420, 297, range(40, 48), 64),
}


def text_of(key: str) -> str:
    return (calibration_folder() / "layouts" / f"{key}.toml").read_text(encoding="utf-8")


def faults_of(tmp_path: Path, text: str) -> dict[str, str]:
    path = tmp_path / "sheet.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DocumentFaulty) as caught:
        read_layout(path)
    assert caught.value.name == "sheet.toml"
    return {fault.field: fault.message for fault in caught.value.faults}


def test_the_six_sheets_are_there() -> None:
    found = {
        layout.key: (layout.kind, layout.width_mm, layout.height_mm, range(t[0].number, t[-1].number + 1), n)
        for layout in LAYOUTS
        if (t := layout.tags) and (n := len(layout.patches))
    }
    assert found == EXPECTED


def test_an_edition_differs_from_its_sheet_in_tags_and_colours_only() -> None:
    by_key = {layout.key: layout for layout in LAYOUTS}
    for key in ("card-a6", "mat-a4", "mat-a3"):
        plain, inks = by_key[key], by_key[f"{key}-inks"]
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
    twin = replace(LAYOUTS[0], key=LAYOUTS[0].key)
    messages = " ".join(fault.message for fault in _faults_between([LAYOUTS[0], twin]))
    assert "used by two files" in messages
    assert "shares [0, 1, 2, 3]" in messages


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.key)
def test_spots_of_bare_paper_touch_nothing_printed(layout: Layout) -> None:
    boxes = [(t.x_mm, t.y_mm, layout.tag_size_mm, layout.tag_size_mm) for t in layout.tags]
    areas = [p.area for p in layout.patches] + [rule_area(layout), print_area(layout)]
    areas += [layout.field] if layout.field else []
    boxes += [(a.x_mm, a.y_mm, a.width_mm, a.height_mm) for a in areas]
    spots = bare_spots_mm(layout)
    for x, y, w, h in boxes:
        nearest = np.clip(spots, [x, y], [x + w, y + h])
        assert np.linalg.norm(spots - nearest, axis=1).min() > 1.1
    assert len(spots) > 200


def test_field_spots_lie_on_the_field() -> None:
    card, mat = LAYOUTS[0], next(layout for layout in LAYOUTS if layout.key == "mat-a4")
    assert len(field_spots_mm(card)) == 0
    spots, field = field_spots_mm(mat), mat.field
    assert field is not None
    assert len(spots) > 500
    assert spots[:, 0].min() > field.x_mm + 2
    assert spots[:, 0].max() < field.x_mm + field.width_mm - 2
    assert spots[:, 1].min() > field.y_mm + 2
    assert spots[:, 1].max() < field.y_mm + field.height_mm - 2
