"""A chart over time as a picture: well-formed, points and limits where they belong, told apart without colour."""

import re
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.drawing.control_chart import NARROW_PX, WIDE_PX, ControlChart, Flag, Panel, control_chart_svg

SVG = "{http://www.w3.org/2000/svg}"
N = 12
LABELS = tuple(f"{day} Sep" for day in range(1, N + 1))


def panel(**changed: object) -> Panel:
    value = np.linspace(2, 3, N)
    value[8] = 5
    nan = np.full(N, np.nan)
    low, high, centre = np.full(N, 2.0), np.full(N, 4.0), np.full(N, 3.0)
    for limits in (low, high, centre):
        limits[6] = np.nan
    fields: dict[str, object] = {"value": value, "centre": centre, "low": low, "high": high, "letters": {8: "A"}}
    return Panel(**({"title": "Place <steps>", "plain": (nan, nan)} | fields | changed))  # type: ignore[arg-type]


def drawn(*panels: Panel, flags: tuple[Flag, ...] = (), width_px: int = WIDE_PX) -> ET.Element:
    chart = ControlChart(
        title="Quay & Hill", labels=LABELS, panels=panels, flags=flags, legend={"A": "beyond its limits"}
    )
    return ET.fromstring(control_chart_svg(chart, width_px=width_px))  # noqa: S314 - our own words


def texts(picture: ET.Element) -> list[str]:
    return [text.text or "" for text in picture.iter(f"{SVG}text")]


def dots(picture: ET.Element) -> FloatArray:
    return np.array([[float(dot.get("cx", "")), float(dot.get("cy", ""))] for dot in picture.iter(f"{SVG}circle")])


def test_each_batch_is_a_dot_in_its_place() -> None:
    one = panel()
    at = dots(drawn(one))
    assert len(at) == N
    assert np.ptp(np.diff(at[:, 0])) == pytest.approx(0, abs=0.2)
    slope = np.polyfit(one.value, at[:, 1], 1)[0]
    assert slope < 0
    assert np.abs(at[:, 1] - np.polyval(np.polyfit(one.value, at[:, 1], 1), one.value)).max() < 0.1


def test_a_signal_has_a_shape_a_letter_and_words() -> None:
    picture = drawn(panel())
    assert {"A", "Diamond A: beyond its limits", "Quay & Hill", "Place <steps>"} <= set(texts(picture))
    assert "signals at 9 Sep A" in (picture.findtext(f"{SVG}desc") or "")
    x, y = dots(picture)[8]
    paths = [path.get("d", "") for path in picture.iter(f"{SVG}path")]
    assert any(path.startswith(f"M{x:.1f} {y - 9:.1f}") and path.endswith("Z") for path in paths)


def test_a_batch_without_limits_is_hollow_and_said_to_be_learned_from() -> None:
    picture = drawn(panel())
    fills = [dot.get("fill") for dot in picture.iter(f"{SVG}circle")]
    assert [at for at, fill in enumerate(fills) if fill == "#ffffff"] == [6]
    assert any("still being learned" in words for words in texts(picture))
    known = panel(low=np.full(N, 2.0))
    assert not any("still being learned" in words for words in texts(drawn(known)))


def test_an_event_stands_between_its_batches_and_nothing_joins_them() -> None:
    picture = drawn(panel(), flags=(Flag(before=4, words="new lot 7"), Flag(before=N, words="oil changed")))
    at = dots(picture)[:, 0]
    between = f"M{(at[3] + at[4]) / 2:.1f} "
    paths = [path.get("d", "") for path in picture.iter(f"{SVG}path")]
    assert any(path.startswith(between) for path in paths)
    joined = [path for path in paths if path.startswith("M") and not path.endswith("Z") and f"{at[3]:.1f} " in path]
    assert joined
    assert not any(f" L{at[4]:.1f} " in path for path in joined)
    assert {"1: new lot 7, before 5 Sep", "2: oil changed, after all of these batches"} <= set(texts(picture))


def test_plain_limits_are_dotted_and_said_to_be_too_tight() -> None:
    plain = (np.full(N, 0.02), np.full(N, 0.05))
    share = panel(value=np.full(N, 0.03), low=np.zeros(N), high=np.full(N, 0.1), plain=plain, percent=True, letters={})
    picture = drawn(share)
    assert sum(path.get("stroke-dasharray") == "2 4" for path in picture.iter(f"{SVG}path")) == 2
    assert any("too tight" in words for words in texts(picture))
    assert "0 %" in texts(picture)


def test_nothing_runs_out_of_a_narrow_picture() -> None:
    picture = drawn(panel(), panel(title="Spread"), flags=(Flag(before=N, words="oil changed"),), width_px=NARROW_PX)
    width, height = map(float, picture.get("viewBox", "").split()[2:])
    assert width == NARROW_PX
    for path in picture.iter(f"{SVG}path"):
        xs, ys = np.array(re.findall(r"([\d.]+) ([\d.]+)", path.get("d", "")), float).T
        assert 0 <= xs.min() <= xs.max() <= width
        assert 0 <= ys.min() <= ys.max() <= height
    assert all(len(words) * 6.2 < width for words in texts(picture))


@pytest.mark.parametrize("value", [np.full(N, np.nan), np.full(N, 2.0)])
def test_values_that_tell_nothing_of_a_scale_are_drawn_all_the_same(value: FloatArray) -> None:
    nan = np.full(N, np.nan)
    assert "nan" not in ET.tostring(drawn(panel(value=value, low=nan, high=nan, centre=nan, letters={})), "unicode")


def test_what_does_not_fit_together_is_refused() -> None:
    with pytest.raises(ValueError, match="each batch"):
        drawn(panel(value=np.zeros(3)))
    with pytest.raises(ValueError, match="a batch and a panel"):
        drawn()


def test_the_houses_target_is_two_lines_of_their_own_kind_inside_the_picture_and_is_told() -> None:
    picture = drawn(panel(target=(1.0, 6.5)))
    lines = [path for path in picture.iter(f"{SVG}path") if path.get("stroke-dasharray") == "14 4 2 4"]
    heights = sorted(float(path.get("d", "").split()[1]) for path in lines)
    values = panel()
    at = dots(picture)
    slope, start = np.polyfit(values.value, at[:, 1], 1)
    assert heights == pytest.approx(sorted(slope * np.array([1.0, 6.5]) + start), abs=0.2)
    assert "Dash and dot: the house's target, 1 to 6.5." in texts(picture)
    assert "target, 1 to 6.5" in (picture.findtext(f"{SVG}desc") or "")
    assert not [path for path in drawn(panel()).iter(f"{SVG}path") if path.get("stroke-dasharray") == "14 4 2 4"]
