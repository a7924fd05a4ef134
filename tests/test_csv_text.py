"""No cell of a CSV file runs, whoever reads it by whichever sign; and what is read back is what was meant."""

import csv
import io
import re
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from grader.csv_text import as_meant, csv_text, inert
from grader.trueness.tables import Noted, read_table, table_text

SIGNS = "=+-@\uff1d\uff0b\uff0d\uff20"
"""OWASP, CSV Injection: what begins a formula, the wide forms included."""
_NUMBER_AND_MORE = re.compile(r"[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?,", re.ASCII)
_WRITES = re.compile(r"csv\.(?:writer|DictWriter)|to_csv|savetxt|write_csv")
ROOT = Path(__file__).parents[1]


def runs(cell: str) -> bool:
    """What a spreadsheet takes for a formula: it begins with a sign and is no plain number."""
    begins = cell.lstrip(" \t\r\n")
    if not begins or begins[0] not in SIGNS:
        return False
    try:
        float(begins.replace(",", "."))
    except ValueError:
        return True
    return "_" in begins or not begins.isascii() or begins.strip("+-").lower().startswith(("inf", "nan"))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("=1+1", "'=1+1"),
        ("+351 21 000", "'+351 21 000"),
        ("-A1", "'-A1"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "'\t'=1"),
        ("\r=1", "'\r'=1"),
        (" =1", "' =1"),
        ("\uff1d1", "'\uff1d1"),
        ("lunch;=1+1", "lunch;'=1+1"),
        ("lunch; -A1", "lunch;' -A1"),
        ("'=1", "''=1"),
    ],
)
def test_what_a_spreadsheet_would_run_gets_an_apostrophe(text: str, told: str) -> None:
    assert inert(text) == told


@pytest.mark.parametrize("cell", ["plate-1", "a=b", "-1.5", "+3", "-0,75", "1e-5", "", -2.5, 3, None, "a; b", "'lunch"])
def test_numbers_and_harmless_text_stay_as_they_are(cell: object) -> None:
    assert inert(cell) == cell


ANY = st.text(st.sampled_from([*SIGNS, *"\t\r\n ;,'\"a1.eN|", "é"]), max_size=12) | st.text(max_size=20)


@given(ANY)
@example("-1;=1")
@example("=1;=2\r=3")
def test_no_text_ever_runs_and_none_is_lost(text: str) -> None:
    told = str(inert(text))
    assert not runs(told)
    assert as_meant(told) == text


@given(st.lists(st.lists(ANY, min_size=1, max_size=4), max_size=5), st.sampled_from([",", ";", "\t"]))
def test_no_cell_of_a_table_runs_by_whichever_sign_it_is_parted(rows: list[list[str]], sign: str) -> None:
    """Read as spreadsheets read it, which part by commas, semicolons or tabs as their country has it.

    Parted otherwise, several cells may become one; with a number before a comma that is no formula.
    """
    read = [cell for cells in csv.reader(io.StringIO(csv_text(rows), newline=""), delimiter=sign) for cell in cells]
    assert not [cell for cell in read if runs(cell) and (sign == "," or not _NUMBER_AND_MORE.match(cell))]


@given(st.lists(st.lists(ANY, min_size=2, max_size=2), max_size=4))
def test_what_the_program_reads_back_is_what_was_meant(
    tmp_path_factory: pytest.TempPathFactory, rows: list[list[str]]
) -> None:
    file = tmp_path_factory.getbasetemp() / "table.csv"
    file.write_bytes(table_text(("name", "words"), rows).encode("utf-8-sig", "surrogatepass"))
    if any("\ud800" <= c <= "\udfff" for row in rows for cell in row for c in cell):
        return
    noted = Noted()
    back = [[row.text("name"), row.text("words")] for row in read_table(file, ("name", "words"), noted)]
    assert back == [[cell.strip() for cell in row] for row in rows if any(cell.strip() for cell in row)]
    assert not noted.faults


def test_nothing_else_in_the_program_writes_csv() -> None:
    """One place makes cells inert, so that none can be forgotten."""
    files = [ROOT / "app.py", *(ROOT / "grader").rglob("*.py")]
    writers = [file.relative_to(ROOT).as_posix() for file in files if _WRITES.search(file.read_text(encoding="utf-8"))]
    assert writers == ["grader/csv_text.py"]
