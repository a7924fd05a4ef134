"""The command line with a pipeline that is made up: what it does around grading is tested here."""

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from grader.card_values import KnownValues
from grader.cli.commands import app
from grader.decision import Terms
from grader.decision.model import Outcome, Verdict
from grader.grading import GradedPhoto, Progress
from grader.standard.model import Standard
from grader.trueness import Study
from tests.records import made_up

Call = Callable[..., Result]


@pytest.fixture
def call() -> Call:
    """Runs the command line: call("grade", folder, "--out", out)."""

    def run(*arguments: object) -> Result:
        return CliRunner().invoke(app, [str(one) for one in arguments])

    return run


@pytest.fixture
def made_up_grading(monkeypatch: pytest.MonkeyPatch) -> None:
    """Photos with "refused" in their name are refused, with "burst" they meet a fault; one plate passes, two fail."""

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
        assert known is None or known.values == ()
        assert data
        if progress is not None:
            progress(0.5, "finding the fries")
        if "burst" in name:
            raise ZeroDivisionError
        graded = made_up.refused(name) if "refused" in name else made_up.graded(name)
        return replace(graded, sha256=hashlib.sha256(name.encode()).hexdigest())

    def judge_batch(plates: list[object], standard: Standard, terms: Terms) -> Verdict:
        assert standard.name
        verdict = made_up.verdict([Outcome.PASS, Outcome.FAIL, Outcome.UNDECIDED][len(plates) - 1])
        return replace(verdict, terms=terms)

    monkeypatch.setattr("grader.cli.crews.FEW_PHOTOS", 1000)  # a process of its own knows nothing of what is made up
    monkeypatch.setattr("grader.records.guarded.grade_photo", grade_photo)
    monkeypatch.setattr("grader.grading.judge_batch", judge_batch)


@pytest.fixture
def folder(tmp_path: Path) -> Callable[..., Path]:
    """Makes a folder with files of these names; in them is nothing that a decoder would take."""

    def make(*names: str, below: str = "plates") -> Path:
        top = tmp_path / below
        for name in names:
            (top / name).parent.mkdir(parents=True, exist_ok=True)
            (top / name).write_bytes(b"made up")
        return top

    return make
