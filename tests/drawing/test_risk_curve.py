"""An operating characteristic as a picture: well-formed, to scale, and told apart without colour."""

import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from grader.drawing.risk_curve import HEIGHT_PX, WIDTH_PX, Axes, Line, Mark, risk_curve_svg

SVG = "{http://www.w3.org/2000/svg}"
AXES = Axes(title="Plates & bags <of a lot>", quality_words="share of nonconforming plates", percent=True)
QUALITY = np.linspace(0, 0.3, 31)
PASSES = Line(words="pass", quality=QUALITY, share=1 - QUALITY / 0.3)
FAILS = Line(words="fail", quality=QUALITY, share=QUALITY / 0.3)


def drawn(*lines: Line, marks: tuple[Mark, ...] = ()) -> ET.Element:
    return ET.fromstring(risk_curve_svg(lines, marks, AXES))  # noqa: S314 - our own words


def texts(picture: ET.Element) -> list[str]:
    return [text.text or "" for text in picture.iter(f"{SVG}text")]


def test_words_stand_as_they_were_given() -> None:
    picture = drawn(PASSES, FAILS, marks=(Mark(quality=0.1, words="the limit"),))
    assert picture.findtext(f"{SVG}title") == AXES.title
    assert {AXES.title, AXES.quality_words, "pass", "fail", "the limit", "100 %", "0 %"} <= set(texts(picture))
    assert "pass: 100 % at 0 %" in (picture.findtext(f"{SVG}desc") or "")


def test_a_line_runs_from_corner_to_corner_and_a_mark_stands_where_it_belongs() -> None:
    picture = drawn(PASSES, marks=(Mark(quality=0.15, words="half"),))
    paths = [path.get("d", "") for path in picture.iter(f"{SVG}path")]
    ends = next(re.findall(r"[\d.]+ [\d.]+", path) for path in paths if path.count("L") == len(QUALITY) - 1)
    (left, top), (right, bottom) = (tuple(map(float, end.split())) for end in (ends[0], ends[-1]))
    assert top < bottom
    assert f"M{(left + right) / 2:.1f} " in "".join(paths)


def test_lines_differ_without_colour() -> None:
    picture = drawn(PASSES, FAILS, Line(words="open", quality=QUALITY, share=0 * QUALITY))
    thick = [path for path in picture.iter(f"{SVG}path") if path.get("stroke-width") == "2.5"]
    assert len({path.get("stroke-dasharray") for path in thick}) == 3
    assert {path.get("stroke") for path in thick} == {"#141414"}
    assert len(list(picture.iter(f"{SVG}circle"))) == 8
    assert len(list(picture.iter(f"{SVG}rect"))) == 1 + 8


def test_nothing_lies_outside_the_picture() -> None:
    steps = Axes(title="t", quality_words="true mean place", percent=False)
    line = Line(words="pass", quality=np.linspace(1.93, 5.61, 40), share=np.full(40, 0.5))
    svg = risk_curve_svg([line], [Mark(quality=5.61, words="far right")], steps)
    for text in ET.fromstring(svg).iter(f"{SVG}text"):  # noqa: S314 - our own words
        assert 0 <= float(text.get("x", "nan")) <= WIDTH_PX
        assert 0 <= float(text.get("y", "nan")) <= HEIGHT_PX
    assert list(re.findall(r">([\d.]+)<", svg)) == ["2", "2.5", "3", "3.5", "4", "4.5", "5", "5.5"]


@pytest.mark.parametrize("lines", [(), (PASSES,) * 4, (Line(words="dot", quality=np.ones(2), share=np.ones(2)),)])
def test_what_can_not_be_drawn(lines: tuple[Line, ...]) -> None:
    with pytest.raises(ValueError, match=r"lines can be told apart|must spread"):
        risk_curve_svg(lines, (), AXES)
