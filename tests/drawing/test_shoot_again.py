from typing import get_args
from xml.etree import ElementTree as ET

import pytest

from grader.drawing.shoot_again import Way, shoot_again_svg, way_to_shoot_again


@pytest.mark.parametrize("way", get_args(Way))
def test_each_drawing_is_whole_and_unlike_the_others(way: Way) -> None:
    drawn = shoot_again_svg(way)
    assert ET.fromstring(drawn).tag.endswith("svg")  # noqa: S314 - our own text
    assert sum(shoot_again_svg(other) == drawn for other in get_args(Way)) == 1


def test_what_a_reason_needs_is_drawn() -> None:
    assert way_to_shoot_again("photo_blurred") == "still"
    assert way_to_shoot_again("card_glare") == "lamp"
    assert way_to_shoot_again("something new") == "card"
