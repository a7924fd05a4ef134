import numpy as np
import pytest

from grader.chart import chart_values, find_chart, read_chart
from grader.colour import lab_to_xyz
from tests.chart.photographs import Sensor, View, photograph

LAB = chart_values("after-november-2014").patch_lab
# White's share of each channel; the matrix mixes so little that no patch leaves the picture's range.
MATRIX = np.array([[0.55, 0.05, 0.0], [0.05, 0.60, 0.05], [0.0, 0.05, 0.50]])
VIEW = View(corners_px=np.array([[180, 140], [1400, 160], [1380, 1000], [200, 1010]], float))


def test_means_are_what_the_camera_saw_within_their_uncertainty() -> None:
    rng = np.random.default_rng(1)
    picture = photograph(lab_to_xyz(LAB), Sensor(matrix=MATRIX), VIEW, rng)
    readings = read_chart(picture, find_chart(picture, LAB).homography)
    assert readings.usable.all()
    assert not readings.clipped.any()
    true = lab_to_xyz(LAB) @ MATRIX.T
    off = (readings.rgb - true) / np.hypot(readings.rgb_u, 1e-3)
    assert np.sqrt((off**2).mean()) < 1.5


@pytest.mark.parametrize(("gain", "patches"), [(1.9, {19}), (0.0004, set(range(1, 25)))])
def test_what_leaves_the_range_is_marked(gain: float, patches: set[int]) -> None:
    rng = np.random.default_rng(2)
    homography = find_chart(photograph(lab_to_xyz(LAB), Sensor(matrix=MATRIX), VIEW, rng), LAB).homography
    picture = photograph(lab_to_xyz(LAB), Sensor(matrix=MATRIX * gain, noise=0.0), VIEW, rng)
    readings = read_chart(picture, homography)
    assert patches <= set(np.flatnonzero(readings.clipped) + 1)
    assert not readings.usable[readings.clipped].any()


def test_a_reflection_and_a_patch_off_the_picture_are_left_out() -> None:
    rng = np.random.default_rng(3)
    picture = photograph(lab_to_xyz(LAB), Sensor(matrix=MATRIX), VIEW, rng)
    homography = find_chart(picture, LAB).homography
    x, y = (homography @ [2.5, 0.5, 1.0])[:2] / (homography @ [2.5, 0.5, 1.0])[2]
    picture[round(y) : round(y) + 30, round(x) : round(x) + 30] = 230
    cut = picture[:, : int((homography @ [5.5, 2, 1])[0] / (homography @ [5.5, 2, 1])[2])]
    readings = read_chart(np.ascontiguousarray(cut), homography)
    assert set(np.flatnonzero(~readings.usable) + 1) == {3, 6, 12, 18, 24}
