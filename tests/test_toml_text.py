"""Values written as TOML come back the same by the standard library's own parser."""

import tomllib
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.toml_text import toml_document, toml_entry, toml_value

SCALARS = (
    st.text(st.characters(exclude_categories=["Cs"]))
    | st.booleans()
    | st.integers(-(2**62), 2**62)
    | st.floats(allow_nan=False)
    | st.dates()
)


@given(st.recursive(SCALARS, lambda inner: st.lists(inner, max_size=4), max_leaves=8))
def test_what_is_written_is_what_is_read(value: object) -> None:
    assert tomllib.loads(toml_entry("key", value)) == {"key": value}


KEYS = st.text("abcdefg_", min_size=1, max_size=6)
TABLES = st.recursive(
    st.dictionaries(KEYS, SCALARS | st.lists(SCALARS, max_size=3), max_size=4),
    lambda inner: st.dictionaries(KEYS, SCALARS | inner | st.lists(inner, max_size=3), max_size=4),
    max_leaves=12,
)


@given(TABLES)
def test_a_document_is_what_is_read(content: dict[str, Any]) -> None:
    assert tomllib.loads(toml_document(content)) == content


def test_a_day_is_a_day() -> None:
    assert toml_entry("on", date(2026, 11, 20)) == "on = 2026-11-20"


def test_what_toml_knows_no_word_for_is_told() -> None:
    with pytest.raises(TypeError, match="NoneType"):
        toml_value(None)
