"""Files of readings as tables of words; what is no such file is told with its line."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.card_values.readings_table import BYTES_AT_MOST, ROWS_AT_MOST, read_table
from grader.errors import DocumentFaulty
from tests.card_values.tables import cgats_of


def told(data: bytes) -> str:
    with pytest.raises(DocumentFaulty) as caught:
        read_table(data, name="theirs.txt")
    assert caught.value.name == "theirs.txt"
    assert "card-values template" in caught.value.hint
    return str(caught.value)


def test_csv_with_commas_semicolons_or_tabs() -> None:
    for sign, comma in ((",", False), (";", True), ("\t", True)):
        text = f"# a remark\n\nNumber{sign}L{sign}a{sign}b\n1{sign}90{sign}-1{sign}2\n{sign}{sign}{sign}\n"
        table = read_table(text.encode(), name="x")
        assert table.fields == ("NUMBER", "L", "A", "B")
        assert [(row.line, row.cells) for row in table.rows] == [(4, ("1", "90", "-1", "2"))]
        assert table.decimal_comma is comma


def test_a_byte_order_mark_and_quotes_are_no_hindrance() -> None:
    table = read_table('\ufeffnumber,place,L\n1,"left, above",90\n'.encode(), name="x")
    assert table.fields[0] == "NUMBER"
    assert table.rows[0].cells[1] == "left, above"


def test_cgats_with_its_statements_and_words_in_quotes() -> None:
    text = cgats_of(
        ["SAMPLE_ID", "SAMPLE_NAME", "LAB_L"],
        [[1, '"light grey"', 90], [2, "dark", 20]],
        statements=['WEIGHTING_FUNCTION "ILLUMINANT, D50"', 'WEIGHTING_FUNCTION "OBSERVER, 2 degree"', "# remark"],
    )
    table = read_table(text.encode(), name="x")
    assert table.fields == ("SAMPLE_ID", "SAMPLE_NAME", "LAB_L")
    assert table.rows[0].cells == ("1", "light grey", "90")
    assert table.statements["WEIGHTING_FUNCTION"] == ("ILLUMINANT, D50", "OBSERVER, 2 degree")
    assert not table.decimal_comma


def test_fields_over_several_lines() -> None:
    text = (
        "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID\nLAB_L LAB_A\nLAB_B\nEND_DATA_FORMAT\nBEGIN_DATA\n1 2 3 4\nEND_DATA\n"
    )
    assert read_table(text.encode(), name="x").fields == ("SAMPLE_ID", "LAB_L", "LAB_A", "LAB_B")


def test_a_quotation_mark_without_its_other_half() -> None:
    text = cgats_of(["SAMPLE_ID"], [[1]], statements=['DESCRIPTOR "our card'])
    assert read_table(text.encode(), name="x").statements["DESCRIPTOR"] == ('"our card',)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b" \n\n", "is empty"),
        (b"# remark alone\n", "holds no table"),
        (b"a" * (BYTES_AT_MOST + 1), "1000 kB"),
        (b"number,L\n1,9\xe9\n", "line 2, the file: is not UTF-8"),
        ("number,L\n1,90\n".encode("utf-16"), "not UTF-8"),
        (b"number,L\n1,9\x000\n", "line 2, the file: holds signs"),
        (b"number\n" + b"1" * 20_001, "line 2, the file: is too long"),
        (b"number,L,L\n1,2,3\n", "more than one column L"),
        (b"number,L\n1,2,3\n4\n", "line 2, the file: has 3 entries for 2"),
        (b"number,L\n1,2,3\n4\n", "line 3, the file: has 1 entries for 2"),
        (b'number,L\n1,"2\n', "can't be read as CSV"),
        (b"number\n" + b"1\n" * (ROWS_AT_MOST + 1), f"at most {ROWS_AT_MOST}"),
        (cgats_of(["A", "B"], [[1, 2], [3]]).encode(), "line 10, the file: has 1 entries for 2"),
        (cgats_of(["A"], [[1], [3]]).encode().replace(b"SETS 2", b"SETS 24"), "says NUMBER_OF_SETS 24 and has 2 rows"),
        (cgats_of(["A"], [[1]]).encode().replace(b"FIELDS 1", b"FIELDS 9"), "has 1 columns"),
        (cgats_of(["A"], [[1]]).encode().replace(b"END_DATA\r\n", b""), "cut short"),
        (cgats_of(["A"], [[1]]).encode() * 2, "holds 2 tables"),
        (b"BEGIN_DATA_FORMAT\nA\nEND_DATA_FORMAT\n", "holds 0 tables"),
    ],
)
def test_what_is_no_table_is_told(data: bytes, words: str) -> None:
    assert words in told(data)


def test_all_faults_of_the_form_at_once() -> None:
    text = told(cgats_of(["A", "B"], [[1, 2], [3], [4]]).encode().replace(b"SETS 3", b"SETS 5"))
    assert "has 3 fault(s)" in text


@given(st.binary(max_size=400) | st.text(max_size=300).map(str.encode))
def test_whatever_comes_is_read_or_told(data: bytes) -> None:
    try:
        table = read_table(data, name="x")
    except DocumentFaulty:
        return
    assert all(len(row.cells) == len(table.fields) for row in table.rows)


@given(st.text(alphabet='BEGINDATAFORMATEND_ \n"#\t1', max_size=200))
def test_pieces_of_cgats_are_read_or_told(text: str) -> None:
    with contextlib.suppress(DocumentFaulty):
        read_table(f"BEGIN_DATA_FORMAT\nA\nEND_DATA_FORMAT\n{text}".encode(), name="x")
