"""Everything that can be refused on a page, or found at fault in a document, is said in every language.

Found in the program itself: each error and each fault that a room can make which the pages reach by their imports.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from grader.language import LANGUAGES, SOURCE
from grader.language.retelling import untold
from tests.language.made_texts import FIGURE, NAME, Scope, nodes, reached, texts
from tests.language.test_lower_rooms import OF_A_PHOTO

GRADER = Path(__file__).parents[2] / "grader"
OTHERS = [language for language in LANGUAGES if language != SOURCE]
FAULTS = {"fault", "_fault", "Fault"}
LISTS = {"faults", "wrong", "unfit"}
"""What faults are gathered in, before they are told together."""
GATHERING = ("_faults", "_role_faults", "_about_", "_wrong", "_check_right")
"""How functions are called that give faults as texts, or as places with texts."""


def _of_call(call: ast.Call) -> list[ast.expr]:
    """The arguments of a call that make what somebody reads of an error or a fault."""
    words = {key.arg: key.value for key in call.keywords}
    if "hint" in words:
        return [*(words[name] for name in ("message", "hint") if name in words), *call.args[:1]]
    match call.func:
        case ast.Attribute(attr=name) | ast.Name(id=name) if name in FAULTS:
            return [words["message"]] if "message" in words else call.args[-1:]
        case ast.Attribute(value=ast.Name(id=name), attr="append") if name in LISTS:
            return call.args
    return []


def _of_function(function: ast.FunctionDef) -> list[ast.expr]:
    given = [one.value for one in ast.walk(function) if isinstance(one, ast.Yield | ast.Return) and one.value]
    return given if function.name.startswith(GATHERING) else []


def _made(node: ast.AST, scope: Scope) -> Iterator[str]:
    if isinstance(node, ast.FunctionDef):
        parts = _of_function(node)
    else:
        parts = _of_call(node) if isinstance(node, ast.Call) else []
    for part in parts:
        words = part.elts[-1] if isinstance(part, ast.Tuple) else part  # a place, and what is wrong there
        yield from (text.strip() for text in texts(words, scope))


def _refusals() -> list[tuple[str, str]]:
    """Each text with its place; a photo's own reasons are looked at in `test_lower_rooms`, with what fills their gaps.

    `errors.py` only puts a document's faults together, which a page tells one by one.
    """
    apart = [GRADER / name for name in (*OF_A_PHOTO, "errors.py")]
    files = reached([*(GRADER / "pages").rglob("*.py"), GRADER.parent / "app.py"], GRADER)
    return [
        (f"{file.relative_to(GRADER)}:{getattr(node, 'lineno', 0)}", text)
        for file in files
        if file.is_relative_to(GRADER) and not any(file == one or one in file.parents for one in apart)
        for node, scope in nodes(file)
        for text in _made(node, scope)
        if text.strip(".") != NAME
    ]


REFUSALS = _refusals()


def test_refusals_are_found_all_over_the_program() -> None:
    print(f"{len(set(REFUSALS))} texts of refusals and faults, {len({text for _, text in REFUSALS})} different")
    assert len({text for _, text in REFUSALS}) > 450
    rooms = {place.split("/")[0] for place, _ in REFUSALS}
    assert {"standard", "records", "evidence", "card_values", "consistency", "line", "roles", "scale_fit"} <= rooms


@pytest.mark.parametrize("language", OTHERS)
def test_every_refusal_is_told(language: str) -> None:
    told = [(place, text.removesuffix(f" {NAME}") if text.endswith(f". {NAME}") else text) for place, text in REFUSALS]
    assert not [(place, left) for place, text in told for left in untold(text, language, [NAME, FIGURE])]
