"""Letters on the bands can be read: contrast by WCAG 2.2 (W3C), criterion 1.4.3; its 4.5 to 1 is from memory."""

import re

import pytest

from grader.decision.model import Outcome
from grader.drawing.signs import SIGNS, Sign, sign_svg


def luminance(colour: tuple[int, int, int]) -> float:
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (v / 255 for v in colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("sign", SIGNS.values(), ids=lambda sign: sign.word)
def test_white_on_each_ground(sign: Sign) -> None:
    assert 1.05 / (luminance(sign.ground) + 0.05) >= 4.5


def test_no_two_signs_share_word_shape_or_ground() -> None:
    for part in ("word", "ground", "corners_deg"):
        assert len({getattr(sign, part) for sign in SIGNS.values()}) == len(SIGNS)


@pytest.mark.parametrize("outcome", SIGNS)
def test_the_sign_as_svg_has_its_corners(outcome: Outcome | None) -> None:
    polygon = re.search(r'<polygon points="([^"]+)"/>', sign_svg(outcome))
    corners = 0 if polygon is None else len(polygon[1].split())
    assert corners == len(SIGNS[outcome].corners_deg)
    assert sign_svg(outcome) != sign_svg(outcome, on_light=True)
