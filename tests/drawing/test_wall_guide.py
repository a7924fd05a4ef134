"""The wall guide, read back as a page's picture: every step's colour and the target's place."""

from datetime import date

import numpy as np
import pypdfium2

from grader.arrays import ByteArray
from grader.colour import lab_to_srgb8
from grader.drawing.wall_guide import wall_guide_pdf
from grader.language import speaking
from tests.records import made_up

DAY = date(2026, 10, 6)
PX_PER_MM = 4


def page(data: bytes) -> ByteArray:
    bitmap = pypdfium2.PdfDocument(data)[0].render(scale=PX_PER_MM * 25.4 / 72)
    return np.asarray(bitmap.to_numpy())[..., ::-1]


def test_each_step_has_its_colour_from_the_top_down() -> None:
    standard = made_up.standard()
    shown = page(wall_guide_pdf(standard, printed=DAY))
    wanted = lab_to_srgb8(np.array([step.lab for step in standard.scale.steps]))
    high = (297 - 58 - 44) / 4
    for row, rgb in enumerate(wanted):
        middle = shown[int((58 + (row + 0.5) * high) * PX_PER_MM), 40 * PX_PER_MM]
        assert np.abs(middle.astype(int) - rgb).max() <= 1


def test_the_bracket_reaches_from_the_targets_begin_to_its_end() -> None:
    standard = made_up.standard()
    shown = page(wall_guide_pdf(standard, printed=DAY)).astype(int)
    column = shown[:, int((16 + 86 + 5 + 8) * PX_PER_MM)]
    green = np.flatnonzero(np.abs(column - [22, 101, 58]).max(axis=1) < 12) / PX_PER_MM
    high = (297 - 58 - 44) / 4
    assert abs(green.min() - (58 + 1.5 * high)) < 1.5
    assert abs(green.max() - (58 + 2.8 * high)) < 1.5


def test_words_follow_the_language_and_claim_nothing() -> None:
    def words(language: str) -> str:
        with speaking(language):
            data = wall_guide_pdf(made_up.standard(), printed=DAY)
        text: str = pypdfium2.PdfDocument(data)[0].get_textpage().get_text_range()
        return " ".join(text.split())

    assert "For viewing only" in words("en")
    assert "our target" in words("en")
    assert "Solo para mirar" in words("es")
    for step in made_up.standard().scale.steps:
        assert step.name in words("es")
