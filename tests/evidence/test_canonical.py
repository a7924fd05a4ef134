"""Canonical JSON against the vectors of RFC 8785."""

import json
import math
import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grader.evidence.canonical import NotCanonical, canonical, digest, read_canonical

# RFC 8785, appendix B: the bits of a double, and how it is written.
NUMBERS = """
0000000000000000 0
8000000000000000 0
0000000000000001 5e-324
8000000000000001 -5e-324
7fefffffffffffff 1.7976931348623157e+308
ffefffffffffffff -1.7976931348623157e+308
4340000000000000 9007199254740992
c340000000000000 -9007199254740992
4430000000000000 295147905179352830000
44b52d02c7e14af5 9.999999999999997e+22
44b52d02c7e14af6 1e+23
44b52d02c7e14af7 1.0000000000000001e+23
444b1ae4d6e2ef4e 999999999999999700000
444b1ae4d6e2ef4f 999999999999999900000
444b1ae4d6e2ef50 1e+21
3eb0c6f7a0b5ed8c 9.999999999999997e-7
3eb0c6f7a0b5ed8d 0.000001
41b3de4355555553 333333333.3333332
41b3de4355555554 333333333.33333325
41b3de4355555555 333333333.3333333
41b3de4355555556 333333333.3333334
41b3de4355555557 333333333.33333343
becbf647612f3696 -0.0000033333333333333333
43143ff3c1cb0959 1424953923781206.2
"""


@pytest.mark.parametrize(("bits", "written"), [line.split() for line in NUMBERS.strip().splitlines()])
def test_numbers_are_written_as_the_rfc_writes_them(bits: str, written: str) -> None:
    assert canonical(struct.unpack(">d", bytes.fromhex(bits))[0]) == written.encode()


def test_the_sample_object_of_the_rfc() -> None:
    # RFC 8785, 3.2.2 (what is read) and 3.2.4 (the bytes that come out).
    given = r"""{
      "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
      "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
      "literals": [null, true, false]
    }"""
    expected = bytes.fromhex(
        "7b226c69746572616c73223a5b6e756c6c2c747275652c66616c73655d2c226e756d62657273223a5b3333333333333333332e33333333"
        "3333332c31652b33302c342e352c302e3030322c31652d32375d2c22737472696e67223a22e282ac245c75303030665c6e412742"
        "5c225c5c5c5c5c222f227d"
    )
    assert canonical(json.loads(given)) == expected
    assert read_canonical(expected) == json.loads(given)


def test_names_are_sorted_as_the_rfc_sorts_them() -> None:
    # RFC 8785, 3.2.3: by UTF-16 code units, so that an emoji comes before a Hebrew presentation form.
    names = {
        "\u20ac": "Euro Sign",
        "\r": "Carriage Return",
        "\ufb33": "Hebrew Letter Dalet With Dagesh",
        "1": "One",
        "\U0001f600": "Emoji: Grinning Face",
        "\u0080": "Control",
        "\u00f6": "Latin Small Letter O With Diaeresis",
    }
    order = ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33"]
    assert list(json.loads(canonical(names))) == order


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_every_number_comes_back(value: float) -> None:
    assert float(canonical(value)) == value


_JSON = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


@given(_JSON)
def test_what_is_written_is_read_again_and_written_alike(value: object) -> None:
    text = canonical(value)
    assert canonical(read_canonical(text)) == text


@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -math.inf, 2**53 + 1, 10**400, "\ud800", {1: 2}, {"a": object()}, b"bytes"]
)
def test_what_has_no_canonical_text_is_refused(value: object) -> None:
    with pytest.raises(NotCanonical):
        canonical(value)


@pytest.mark.parametrize(
    "text",
    [b"", b"{", b'{"a": 1}', b'{"b":1,"a":2}', b'{"a":1,"a":1}', b"1.0", b"NaN", b"\xff", b"[" * 200 + b"]" * 200],
)
def test_other_texts_are_refused(text: bytes) -> None:
    with pytest.raises(NotCanonical):
        read_canonical(text)


def test_the_digest_is_that_of_the_text() -> None:
    # SHA-256 of the two characters {} (by sha256sum).
    assert digest({}) == "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a"
