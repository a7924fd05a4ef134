"""The page with a pipeline that is made up; `test_browser.py` drives it with the real one."""

import hashlib
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.card_values import KnownValues
from grader.decision.model import Outcome
from grader.grading import GradedPhoto, Progress
from grader.standard.model import Standard
from grader.trueness import Study
from tests.records import made_up

ROOT = Path(__file__).parents[2]
Page = Callable[[], AppTest]
JUDGE_A_BATCH = str(Path(pages.__file__).parent / "judge_a_batch.py")


@pytest.fixture(autouse=True)
def main_module(monkeypatch: pytest.MonkeyPatch) -> None:
    """Streamlit leaves the page it ran as `__main__`, and each process that a later test spawned would run it again."""
    monkeypatch.setitem(sys.modules, "__main__", sys.modules["__main__"])


@pytest.fixture
def graded_names(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the photos that were really graded, not recalled; "refused" and "burst" in a name do as they say."""
    names: list[str] = []

    def grade_photo(
        data: bytes,
        *,
        name: str,
        standard: Standard,
        known: KnownValues | None,
        studies: Sequence[Study],
        progress: Progress | None = None,
    ) -> GradedPhoto:
        assert studies == ()
        assert standard.name
        assert known is None or known.on.year > 2000  # the day is asked of the clock
        names.append(name)
        if progress is not None:
            progress(0.5, "finding the fries")
        if "burst" in name:
            raise ZeroDivisionError
        graded = made_up.refused(name) if "refused" in name else made_up.graded(name)
        return replace(graded, sha256=hashlib.sha256(data).hexdigest())

    monkeypatch.setattr("grader.records.guarded.grade_photo", grade_photo)
    monkeypatch.setattr(
        "grader.grading.judge_batch",
        lambda plates, *_: made_up.verdict([Outcome.PASS, Outcome.FAIL, Outcome.UNDECIDED][len(plates) - 1]),
    )
    st.cache_resource.clear()
    st.cache_data.clear()
    return names


@pytest.fixture
def page(graded_names: list[str]) -> Page:
    """Opens the page at "Judge a batch"."""
    assert graded_names == []

    def opened() -> AppTest:
        at = AppTest.from_file(str(ROOT / "app.py"), default_timeout=30).run()
        assert not at.exception
        return at.switch_page(JUDGE_A_BATCH).run()

    return opened
