import numpy as np

from grader.drawing.band import LegendItem, head_band, legend_band, wrapped
from grader.drawing.ink import text_size


def test_lines_fit_and_no_word_is_lost() -> None:
    text = "Fail: too dark, too many short pieces, too many slivers and too many fries with a dark end."
    lines = wrapped(text, 600, 44)
    assert len(lines) > 1
    assert " ".join(lines) == text
    assert all(text_size(line, 44, weight=400)[0] <= 600 for line in lines)
    assert wrapped("", 600, 44) == []


def test_the_head_grows_with_its_words() -> None:
    short = head_band(1600, None, "Short.", "")
    tall = head_band(1600, None, "word " * 60, "12 fries")
    assert short.shape[1] == tall.shape[1] == 1600
    assert tall.shape[0] > short.shape[0]


def test_the_legend_breaks_into_lines() -> None:
    one = legend_band(1600, [LegendItem(words="a")])
    many = legend_band(1600, [LegendItem(words="a fairly long explanation")] * 8)
    assert many.shape[0] > one.shape[0]
    assert np.unique(one.reshape(-1, 3), axis=0).shape[0] > 1
