import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from grader.colour import lab_to_srgb8
from grader.decision import long_shares
from grader.language import Lengths
from grader.pages.components.chart_parts import Chart, highest
from grader.pages.components.colour_chart import colour_chart, scale_colours
from grader.pages.components.length_chart import both_ways, length_chart, lengths_mm
from tests.records import made_up


def rows(chart: Chart) -> list[dict[str, Any]]:
    """All rows of all data of a chart."""
    return [row for data in chart.to_dict()["datasets"].values() for row in data]


def test_every_length_is_in_one_bar() -> None:
    bars = [row for row in rows(length_chart(made_up.fries(), made_up.standard())) if "fries" in row]
    assert sum(row["fries"] for row in bars) == 4
    assert [row["from"] for row in bars if row["fries"]] == [20, 50, 70, 100]


def test_the_limits_of_the_cut_are_drawn() -> None:
    chart = length_chart(made_up.fries(), made_up.standard())
    assert {row["at"] for row in rows(chart) if "at" in row} == {30.0, 50.8}
    assert "≥ 60 %" in str(chart.to_dict())


def test_a_share_of_mass_says_so() -> None:
    standard = made_up.standard()
    share = replace(standard.limits.length_shares[0], by="mass")
    heavy = replace(standard, limits=replace(standard.limits, length_shares=(share,)))
    assert "≥ 60 % of mass" in str(length_chart(made_up.fries(), heavy).to_dict())


def test_a_length_is_told_by_count_and_by_estimated_mass() -> None:
    (told,) = long_shares([made_up.fries()], made_up.standard())
    assert re.fullmatch(
        r"50\.8 mm \(2 in\) or longer: by count 75 % \(± \d+ %\), by estimated mass 91 % \(± \d+ %\)\.", both_ways(told)
    )
    assert both_ways(long_shares([[]], made_up.standard())[0]) == ""


def test_very_long_fries_stay_in_the_picture() -> None:
    long = made_up.fry(1, y=100, length_px=1000)
    bars = [row for row in rows(length_chart([long], made_up.standard())) if row.get("fries")]
    assert bars == [{"from": 250, "to": 260, "fries": 1}]


def test_length_is_what_the_standard_says() -> None:
    assert lengths_mm(made_up.fries(), made_up.standard())[0] == 100.0
    assert lengths_mm(made_up.fries(), replace(made_up.standard(), length_is="straight"))[0] == 99.5


def test_every_colour_is_in_one_bar_at_its_place() -> None:
    bars = [row for row in rows(colour_chart(made_up.fries(), made_up.standard())) if row.get("fries")]
    assert sum(row["fries"] for row in bars) == 4
    golden = next(row for row in bars if row["from"] <= 3.0 < row["to"])
    assert golden["fries"] == 3


def test_the_swatches_are_the_houses_own_colours() -> None:
    scale = made_up.standard().scale
    at_the_anchors = scale_colours(scale, np.arange(1.0, 5.0))
    red, green, blue = lab_to_srgb8(np.array(scale.steps[2].lab)).tolist()
    assert at_the_anchors[2] == f"#{red:02x}{green:02x}{blue:02x}"
    assert scale_colours(scale, np.array([0.5]))[0] == at_the_anchors[0]
    names = [row["name"] for row in rows(colour_chart([], made_up.standard())) if "name" in row]
    assert names == [step.name for step in scale.steps]


def test_the_target_is_drawn() -> None:
    chart = colour_chart(made_up.fries(), made_up.standard())
    assert {2.0, 3.3} <= {row["at"] for row in rows(chart) if "at" in row}
    assert "target" in str(chart.to_dict())


@pytest.mark.parametrize(("counts", "top"), [([], 1), ([0, 0], 1), ([3, 7], 7)])
def test_highest(counts: list[int], top: int) -> None:
    assert highest(np.array(counts, int)) == top


def test_a_heap_has_no_lengths_to_draw(page: Callable[[], AppTest], monkeypatch: pytest.MonkeyPatch) -> None:
    heap = tuple(replace(fry, length_mm=None, straight_mm=None) for fry in made_up.fries())
    monkeypatch.setattr(made_up, "fries", lambda: heap)
    at = page()
    at.file_uploader(key="photos").set_value([("heap.jpg", b"x", "image/jpeg")]).run()
    assert not at.exception
    assert len(at.get("vega_lite_chart")) == 2
    assert any("No fry has a length" in caption.value for caption in at.caption)


def test_the_plane_holds_each_fry_and_the_scales_path_in_its_order() -> None:
    import numpy as np
    import pandas as pd

    from grader.pages.components.colour_chart import plane_chart

    standard = made_up.standard()
    fries = [made_up.fry(1, y=100), made_up.fry(2, y=200, lab=(45.0, 14.0, 28.0))]
    drawn = plane_chart(fries, standard.scale).to_dict()
    data = [pd.DataFrame(drawn["datasets"][layer["data"]["name"]]) for layer in drawn["layer"]]
    path, points = data[0], data[3]
    assert list(path["L"]) == [step.lab[0] for step in standard.scale.steps]
    assert np.allclose(points["C"], [np.hypot(8, 35), np.hypot(14, 28)])


def test_lengths_are_charted_in_inches_where_the_visitor_chose_them() -> None:
    """The same fries and limits, divided by 25.4 mm (NIST SP 811, appendix B.8), in bars of half an inch."""
    fries, standard = made_up.fries(), made_up.standard()
    chart = length_chart(fries, standard, Lengths.INCHES)
    bars = [row for row in rows(chart) if "fries" in row]
    assert {round(row["to"] - row["from"], 9) for row in bars} == {0.5}
    assert sum(row["fries"] for row in bars) == len(lengths_mm(fries, standard))
    limits = {round(row["at"], 6) for row in rows(chart) if "at" in row}
    assert round(standard.defects.short_below_mm / 25.4, 6) in limits
    assert "length, in" in str(chart.to_dict())
