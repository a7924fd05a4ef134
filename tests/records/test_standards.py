from pathlib import Path

import pytest

from grader.errors import DocumentFaulty, GraderError
from grader.records.standards import DEFAULT_STANDARD, chosen_standard, standard_from_bytes
from grader.standard import load_shipped


def test_without_a_file_it_is_the_shipped_one_of_9_5_mm() -> None:
    assert chosen_standard(None).cut.width_mm == 9.5
    assert chosen_standard(Path("strips-6.5mm-peeled")) == load_shipped()["strips-6.5mm-peeled"]


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    from grader.standard import write_standard

    text = write_standard(load_shipped()[DEFAULT_STANDARD])
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8-sig")
    assert chosen_standard(tmp_path / "mine.toml") == load_shipped()[DEFAULT_STANDARD]


def test_what_is_no_text_is_told_with_its_line() -> None:
    with pytest.raises(DocumentFaulty, match="line 3"):
        standard_from_bytes(b"a = 1\nb = 2\nc = '\xff'\n", name="x.toml")


def test_a_missing_file_names_those_that_ship(tmp_path: Path) -> None:
    with pytest.raises(GraderError, match=DEFAULT_STANDARD):
        chosen_standard(tmp_path / "none.toml")
