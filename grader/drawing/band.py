"""The words above and below a plate: what came out, and what the lines and letters mean."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from grader.arrays import ByteArray
from grader.decision.model import Outcome
from grader.drawing.ink import BOLD, REGULAR, WHITE, text_size, write
from grader.drawing.signs import SIGNS, draw_sign
from grader.language import retell

MARGIN_PX = 28
_WORD_PX, _TEXT_PX, _LINE_PX = 90, 50, 68
_SIGN_RADIUS_PX = 58
_LEGEND_GROUND = (36, 38, 42)
_SAMPLE_PX = 96


def wrapped(text: str, width_px: int, height_px: int, *, weight: int = REGULAR) -> list[str]:
    """Lines of words that fit into a width."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_size(longer, height_px, weight=weight)[0] <= width_px:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines


def head_band(width_px: int, outcome: Outcome | None, headline: str, *facts: str) -> ByteArray:
    """(h, width, 3): the sign, its word, and beneath it the headline and lines of facts about the plate."""
    sign = SIGNS[outcome]
    left = 2 * MARGIN_PX + 2 * _SIGN_RADIUS_PX
    told = [retell(words) for words in (headline, *facts)]
    lines = [line for words in told for line in wrapped(words, width_px - left - MARGIN_PX, _TEXT_PX)]
    band = np.full((MARGIN_PX * 2 + _WORD_PX + _LINE_PX * len(lines), width_px, 3), sign.ground, np.uint8)
    draw_sign(band, outcome, (MARGIN_PX + _SIGN_RADIUS_PX, MARGIN_PX + _SIGN_RADIUS_PX), _SIGN_RADIUS_PX)
    write(band, retell(sign.word), (left, MARGIN_PX + _WORD_PX - 12), WHITE, _WORD_PX, weight=BOLD)
    for row, line in enumerate(lines):
        write(band, line, (left, MARGIN_PX + _WORD_PX + _LINE_PX * (row + 1) - 18), WHITE, _TEXT_PX, weight=REGULAR)
    return band


@dataclass(frozen=True, slots=True, kw_only=True)
class LegendItem:
    """Words, and what draws the sample before them (into a picture, from x, at height y, so wide)."""

    words: str
    draw: Callable[[ByteArray, int, int, int], None] | None = None


def legend_band(width_px: int, items: list[LegendItem]) -> ByteArray:
    """(h, width, 3): samples and words, as many to a line as fit."""
    height_px = 48
    places: list[tuple[int, int]] = []
    told = [retell(item.words) for item in items]
    x, row = MARGIN_PX, 0
    for item, words in zip(items, told, strict=True):
        needed = (0 if item.draw is None else _SAMPLE_PX + 14) + text_size(words, height_px, weight=REGULAR)[0]
        if x > MARGIN_PX and x + needed > width_px - MARGIN_PX:
            x, row = MARGIN_PX, row + 1
        places.append((x, row))
        x += needed + 44
    band = np.full((MARGIN_PX * 2 + (row + 1) * _LINE_PX - 10, width_px, 3), _LEGEND_GROUND, np.uint8)
    for item, words, (left, line) in zip(items, told, places, strict=True):
        middle = MARGIN_PX + line * _LINE_PX + _LINE_PX // 2 - 5
        start = left
        if item.draw is not None:
            item.draw(band, left, middle, _SAMPLE_PX)
            start = left + _SAMPLE_PX + 14
        write(band, words, (start, middle + 17), WHITE, height_px, weight=REGULAR)
    return band
