"""Everything that lower rooms say to a cook can be said again in every language: found in the program itself."""

import ast
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from grader.decision import judge_batch
from grader.decision.judging import without_colour
from grader.decision.model import Verdict
from grader.decision.terms import Question, Terms
from grader.drawing.marks import Mark
from grader.drawing.signs import SIGNS, spoken
from grader.fries.model import Fry, Measured
from grader.language import LANGUAGES, SOURCE
from grader.language.retelling import untold
from grader.photo.refusals import _WORDS
from grader.trueness.standing import ColourLevel, LengthLevel
from tests.records import made_up

STEPS = [f"Zorro{turn}" for turn in range(len(made_up.standard().scale.steps))]
"""Names of a scale's steps that are nothing else."""
GRADER = Path(__file__).parents[2] / "grader"
OF_A_PHOTO = ["photo", "colour", "card", "reasons.py", "grading.py", "card_values/identifying.py"]
"""Where a photo's own reasons are made."""
LANGUAGE = next(language for language in LANGUAGES if language != SOURCE)


def _told(node: ast.expr, constants: Mapping[str, str]) -> list[str]:
    """Each text that the program may make here, with X7 where a figure or a name is put in."""
    if isinstance(node, ast.Name) and node.id in constants:
        return [constants[node.id]]
    if isinstance(node, ast.Constant):
        return [node.value] if isinstance(node.value, str) else []
    if isinstance(node, ast.IfExp):
        return _told(node.body, constants) + _told(node.orelse, constants)
    if isinstance(node, ast.BinOp):
        return [one + other for one in _told(node.left, constants) for other in _told(node.right, constants)]
    if isinstance(node, ast.JoinedStr):
        texts = [""]
        for part in node.values:
            put = _told(part.value if isinstance(part, ast.FormattedValue) else part, constants) or ["X7"]
            texts = [text + one for text in texts for one in put]
        return texts
    return []


def _reasons() -> Iterator[tuple[str, str]]:
    """Message and hint of each refusal and finding, with its place."""
    for name in OF_A_PHOTO:
        path = GRADER / name
        for file in sorted(path.rglob("*.py")) if path.is_dir() else [path]:
            tree = ast.parse(file.read_text(encoding="utf-8"))
            constants = {
                target.id: node.value.value
                for node in tree.body
                if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant)
                for target in node.targets
                if isinstance(target, ast.Name) and isinstance(node.value.value, str)
            }
            for node in ast.walk(tree):
                if not isinstance(node, ast.Call) or not any(key.arg == "code" for key in node.keywords):
                    continue
                parts = [key.value for key in node.keywords if key.arg in {"message", "hint"}] + node.args[:1]
                for part in parts:
                    for text in _told(part, constants):
                        yield f"{file.name}:{node.lineno}", text


REASONS = list(_reasons())


def test_reasons_are_found() -> None:
    assert len(REASONS) > 40


def test_every_reason_of_a_photo_is_retold() -> None:
    assert not [(place, left) for place, text in REASONS for left in untold(text, LANGUAGE, ["X7"])]


def test_every_unreadable_file_is_retold() -> None:
    for message, hint in _WORDS.values():
        for detail in ("", ": 300 × 200 pixels"):
            assert not untold(message.format(detail=detail), LANGUAGE)
        assert not untold(hint, LANGUAGE)


def _batches() -> Iterator[Verdict]:
    """Batches right, wrong and undecided in every limit, as a release, as a claim, and without their colour."""
    plain = made_up.standard()
    steps = tuple(replace(step, name=name) for step, name in zip(plain.scale.steps, STEPS, strict=True))
    plain = replace(plain, scale=replace(plain.scale, steps=steps))
    full = replace(
        plain,
        limits=replace(
            plain.limits,
            scrap_share_at_most=0.1,
            curved_share_at_most=0.1,
            torn_end_share_at_most=0.1,
            crumb_share_at_most=0.1,
        ),
    )

    def plate(**other: Any) -> list[Fry]:
        return [replace(made_up.fry(k, y=30.0 * k), **other) for k in range(1, 40)]

    pale = [made_up.fry(k, y=30.0 * k, lab=(75.0, -2.0, 25.0), length_px=60) for k in range(1, 40)]
    dark = [made_up.fry(k, y=30.0 * k, lab=(45.0, 14.0, 28.0), length_px=90) for k in range(1, 40)]
    mixed = [*pale[:20], *dark[20:]]
    thin = plate(width_mm=Measured(value=3.0, u=0.3), bow_share=Measured(value=0.4, u=0.01))
    torn = plate(
        end_gaps_mm=(Measured(value=4.0, u=0.3), None),
        dark_end_mm=Measured(value=9.0, u=1.0),
        dark_end_dl=20.0,
        spots_mm=(6.0,),
    )
    hidden = plate(length_mm=None, straight_mm=None, colour=None)
    for standard in (plain, full):
        for fries in (plate(), pale, dark, mixed, thin, torn, hidden, [], plate()[:6], mixed[:4]):
            for terms in (Terms(), Terms(question=Question.CLAIM)):
                for plates in ([fries], [fries, fries, fries]):
                    verdict = judge_batch(plates, standard, terms)
                    yield verdict
                    yield without_colour(verdict, standard)


def test_every_verdict_is_retold() -> None:
    lacking: set[str] = set()
    for verdict in _batches():
        sign = SIGNS[verdict.outcome]
        told = [verdict.headline, spoken(verdict.headline, sign), sign.word]
        for limit in verdict.limits:
            told += [limit.title, limit.finding, limit.reason, f"Nearest to its limit: {limit.reason}"]
            told.append(limit.arithmetic)
        for text in told:
            lacking.update(untold(text, LANGUAGE, STEPS))
    assert not sorted(lacking)


def test_advice_that_does_not_settle_all_is_retold() -> None:
    for remedy in ("photograph 1 more plate", "photograph 3 more plates"):
        told = f"Can't tell yet about colour and defects: {remedy}; that won't settle all of it"
        assert not untold(f"{told}.", LANGUAGE)
        assert not untold(f"{told} (judged from one plate only).", LANGUAGE)


def test_levels_and_marks_are_retold() -> None:
    for level in (*ColourLevel, *LengthLevel):
        assert not untold(level.value, LANGUAGE)
    for mark in Mark:
        assert not untold(mark.words, LANGUAGE)
        assert not untold(f"{mark.letter} {mark.words}", LANGUAGE)
