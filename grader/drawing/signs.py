"""The signs for what came out: word, shape and colour say the same, each enough by itself."""

from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import ByteArray
from grader.decision.model import Outcome
from grader.drawing.ink import WHITE, Colour


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """A word, the colour of its band, and the corners of its shape (angles, degrees; none for a round one)."""

    word: str
    ground: Colour
    corners_deg: tuple[float, ...]


SIGNS: dict[Outcome | None, Sign] = {
    Outcome.PASS: Sign(word="PASS", ground=(22, 101, 58), corners_deg=()),
    Outcome.FAIL: Sign(word="FAIL", ground=(158, 27, 36), corners_deg=tuple(22.5 + 45 * k for k in range(8))),
    Outcome.UNDECIDED: Sign(word="UNDECIDED", ground=(125, 82, 0), corners_deg=(-90.0, 30.0, 150.0)),
    None: Sign(word="NOT JUDGED", ground=(70, 74, 82), corners_deg=(-135.0, -45.0, 45.0, 135.0)),
}
"""Round for pass, eight corners for fail, three for undecided, four for not judged; white letters on each ground have a
contrast of at least 4.5 to 1."""


def spoken(headline: str, sign: Sign) -> str:
    """A headline to stand beside the sign's own word: without that word once more."""
    word, colon, rest = headline.partition(": ")
    return rest[:1].upper() + rest[1:] if colon and word.upper() == sign.word else headline


_STROKES: dict[Outcome | None, tuple[tuple[tuple[float, float], ...], ...]] = {
    Outcome.PASS: (((-0.42, 0.02), (-0.12, 0.34), (0.45, -0.34)),),
    Outcome.FAIL: (((-0.34, -0.34), (0.34, 0.34)), ((-0.34, 0.34), (0.34, -0.34))),
    Outcome.UNDECIDED: (((0.0, -0.38), (0.0, 0.12)), ((0.0, 0.32), (0.0, 0.33))),
    None: (((-0.4, 0.0), (0.4, 0.0)),),
}


def draw_sign(picture: ByteArray, outcome: Outcome | None, centre: tuple[int, int], radius_px: int) -> None:
    """The sign's shape in white with its stroke in the band's colour."""
    sign, bits = SIGNS[outcome], 4
    if sign.corners_deg:
        angles = np.radians(sign.corners_deg)
        points = np.stack([np.cos(angles), np.sin(angles)], axis=-1) * radius_px + centre
        corners = np.round(points * (1 << bits)).astype(np.int32)
        cv2.fillPoly(picture, [corners], WHITE, cv2.LINE_AA, bits)
    else:
        cv2.circle(picture, centre, radius_px, WHITE, -1, cv2.LINE_AA)
    for line in _STROKES[outcome]:
        points = np.array(line) * radius_px + centre
        steps = np.round(points * (1 << bits)).astype(np.int32)
        cv2.polylines(picture, [steps], False, sign.ground, max(radius_px // 5, 3), cv2.LINE_AA, bits)  # noqa: FBT003 - cv2 takes it by position


def sign_svg(outcome: Outcome | None, *, on_light: bool = False) -> str:
    """The same sign as SVG: white with a stroke in the band's colour, or the other way about on a light page."""
    sign = SIGNS[outcome]
    band = "rgb({}, {}, {})".format(*sign.ground)
    shape_ink, stroke_ink = (band, "white") if on_light else ("white", band)
    corners = " ".join(f"{np.cos(np.radians(a)):.3f},{np.sin(np.radians(a)):.3f}" for a in sign.corners_deg)
    shape = f'<polygon points="{corners}"/>' if corners else '<circle r="1"/>'
    lines = "".join(f'<polyline points="{" ".join(f"{x},{y}" for x, y in line)}"/>' for line in _STROKES[outcome])
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="96" height="96" viewBox="-1.05 -1.05 2.1 2.1">'
        f'<g fill="{shape_ink}">{shape}</g>'
        f'<g fill="none" stroke="{stroke_ink}" stroke-width="0.2" stroke-linecap="round">{lines}</g></svg>'
    )
