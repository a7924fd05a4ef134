import numpy as np
import pytest

from grader.fries import network
from tests.fries.rendered import rendered


def test_strips_say_exactly_what_the_whole_says(monkeypatch: pytest.MonkeyPatch) -> None:
    view, _ = rendered("ink066")
    light = view.luminance_log[:320, :480].reshape(160, 2, 240, 2).transpose(1, 3, 0, 2).reshape(4, 160, 240)
    picture = np.concatenate([light] * 3)
    by_strips = network.run_network(picture)
    monkeypatch.setattr(network, "_STRIP", len(picture[0]))
    assert np.array_equal(network.run_network(picture), by_strips)
    assert by_strips.std() > 1
