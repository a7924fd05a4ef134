"""What a terminal shows of strangers' words."""

import pytest

from grader.printable import printable


@pytest.mark.parametrize("words", ["", "strips, 9.5 mm ± 0.3", "doré à point", "10\u202f%", "a\u00a0b", "薯條 🍟"])
def test_words_stay_as_they_are(words: str) -> None:
    assert printable(words) == words


@pytest.mark.parametrize("sign", ["\n", "\r", "\t", "\x1b", "\x9b", "\x7f", "\u2028", "\u202e", "\u200b", "\udcff"])
def test_what_is_no_sign_is_shown_as_none(sign: str) -> None:
    assert printable(f"a{sign}[8mb") == "a\ufffd[8mb"
