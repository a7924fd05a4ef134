"""Findings put in order, and the refusal that comes of them."""

import pytest

from grader.colour.gates import gravest_first, refuse_hopeless
from grader.errors import Finding, PhotoRefused


def _finding(code: str, *, refuses: bool = False) -> Finding:
    return Finding(code=code, message=f"{code} was seen.", hint="Do this.", refuses=refuses)


def test_refusals_first_then_as_given_each_code_once() -> None:
    found = [
        _finding("a"),
        None,
        _finding("b", refuses=True),
        _finding("a", refuses=True),
        _finding("c"),
        _finding("b"),
    ]
    assert [(one.code, one.refuses) for one in gravest_first(found)] == [("b", True), ("a", True), ("c", False)]
    assert gravest_first([None]) == ()


def test_warnings_alone_refuse_nothing() -> None:
    refuse_hopeless(())
    refuse_hopeless((_finding("a"), _finding("b")))


def test_a_refusal_carries_its_reason_its_remedy_and_what_else_was_found() -> None:
    warning = _finding("b")
    with pytest.raises(PhotoRefused, match="a was seen") as refused:
        refuse_hopeless((_finding("a", refuses=True), warning))
    assert refused.value.code == "a"
    assert refused.value.hint == "Do this."
    assert refused.value.others == (warning,)
