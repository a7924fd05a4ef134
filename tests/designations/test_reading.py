"""Published designations as data: the shipped files against what was read of the standards; faults, all at once."""

import math

import pytest

from grader.decision.model import Outcome
from grader.designations import caution, load_published, outcome_words, published_words, read_published
from grader.designations.model import Published
from grader.errors import DocumentFaulty
from grader.places import calibration_folder

FOLDER = calibration_folder() / "designations"
US, CODEX, RAW = "us-frozen-french-fried", "codex-cxs-114", "us-potatoes-for-processing"
US_TEXT = (FOLDER / f"{US}.toml").read_text(encoding="utf-8")
CODEX_TEXT = (FOLDER / f"{CODEX}.toml").read_text(encoding="utf-8")


@pytest.fixture
def published() -> dict[str, Published]:
    return load_published()


def faults_of(text: str) -> dict[str, str]:
    with pytest.raises(DocumentFaulty) as caught:
        read_published(text, name="ours.toml")
    return {fault.field: fault.message for fault in caught.value.faults}


def test_three_standards_ship_each_row_with_its_source(published: dict[str, Published]) -> None:
    assert set(published) == {US, CODEX, RAW}
    for one in published.values():
        assert one.name
        assert one.edition
        assert all(row.source and row.mark for row in (*one.rows, *one.words))


def test_the_five_fry_colours_are_the_printed_names_and_only_words(published: dict[str, Published]) -> None:
    # 7 CFR part 52 as printed, Google Books PvCyAAAAIAAJ page 406: the five names, pale to dark; four of them are a
    # good colour (27 to 30 points), and a reasonably good one (24 to 26) grades no higher than B.
    colours = [row for row in published[US].words if row.about == "fry colour"]
    assert [row.name for row in colours] == ["extra light", "light", "medium light", "medium", "dark"]
    assert all(row.mark == "VERIFIED" for row in colours)
    assert ["27 to 30 points" in row.meaning for row in colours] == [True, True, True, True, False]
    assert "24 to 26 points" in colours[-1].meaning
    assert not any(word in US_TEXT for word in ("lab =", "L*", "xyY"))


def test_grades_need_the_scores_that_are_printed(published: dict[str, Published]) -> None:
    # ams.usda.gov/grades-standards/frozen-french-fried-potatoes-grades-and-standards: at least 90, 90 and 80 points.
    grades = {row.name: row for row in published[US].words if row.about == "grade"}
    scores = {name: row.meaning.rpartition("at least ")[2] for name, row in grades.items() if "score" in row.meaning}
    assert scores == {"A (Fancy)": "90", "A (Fancy) Short": "90", "B (Extra Standard)": "80"}
    assert all(row.mark == "VERIFIED" for row in grades.values())


def test_classes_of_cross_section_are_those_that_a_trade_page_quotes(published: dict[str, Published]) -> None:
    # The page quotes CXS 114-1981 as 5 to 8, 8 to "15", 12 to 16 and over 16 mm across the largest cut surface. Its 15
    # overlaps its next class, so that one end is from memory, and the row says so.
    sections = {row.name: row for row in published[CODEX].sections}
    assert (sections["Shoestring"].from_mm, sections["Shoestring"].to_mm) == (5, 8)
    assert (sections["Thick cut"].from_mm, sections["Thick cut"].to_mm) == (12, 16)
    assert (sections["Extra large"].from_mm, sections["Extra large"].to_mm) == (16, math.inf)
    assert sections["Medium"].from_mm == 8
    marks = {name: row.mark for name, row in sections.items()}
    assert marks == dict.fromkeys(("Shoestring", "Thick cut", "Extra large"), "VERIFIED*") | {"Medium": "MEMORY"}


def test_inches_of_the_lengths_are_exact(published: dict[str, Published]) -> None:
    # Two and three inches of 25.4 mm (exact). That the standard asks at these lengths, and its shares, is from memory.
    rows = published[US].lengths
    assert {asked.length_mm for row in rows for asked in row.shares} == {50.8, 76.2}
    assert all(row.mark == "MEMORY" for row in rows)


def test_what_was_not_read_in_its_text_is_to_be_checked_first() -> None:
    assert caution("VERIFIED") == ""
    assert caution("VERIFIED*") == caution("MEMORY") == "check against the standard before contract use"
    assert [outcome_words(outcome) for outcome in Outcome] == ["would meet", "would not meet", "can't tell"]


def test_a_standard_in_a_line_says_whether_its_rows_are_to_be_checked(published: dict[str, Published]) -> None:
    assert published_words(published[CODEX]).endswith("(check against the standard before contract use)")
    assert "Shoestring, Medium, Thick cut, Extra large" in published_words(published[CODEX])
    assert published_words(published[RAW]).endswith("words only, nothing that a plate shows")  # each row was read


def test_all_faults_of_a_file_at_once() -> None:
    text = US_TEXT.replace('mark = "MEMORY"', 'mark = "sure"', 1)
    text = text.replace("share = 0.30", "share = 30", 1)
    text = text.replace('sense = "at most"', 'sense = "under"', 1)
    text = text.replace("edition =", "editon =", 1)
    found = faults_of(text)
    assert set(found) == {
        "edition",
        "editon",
        "lengths[1].mark",
        "lengths[1].shares[2].share",
        "lengths[4].shares[1].sense",
    }
    assert "30 % is 0.3" in found["lengths[1].shares[2].share"]
    assert "Did you mean edition" in found["editon"]


def test_a_class_that_ends_before_it_begins_and_a_length_that_asks_nothing() -> None:
    assert "not above from_mm" in faults_of(CODEX_TEXT.replace("to_mm = 16", "to_mm = 10"))["sections[3].to_mm"]
    share = 'shares = [{ length_mm = 50.8, sense = "at most", share = 0.50 }]'
    assert US_TEXT.count(share) == 1
    assert "at least one share" in faults_of(US_TEXT.replace(share, "shares = []"))["lengths[4].shares"]
