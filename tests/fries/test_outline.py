import numpy as np
import pytest
from skimage.draw import disk

from grader.arrays import LabelArray
from grader.fries.outline import trace_outlines

RADIUS = 60.0


def round_label(size: tuple[int, int] = (200, 240), middle: tuple[int, int] = (100, 120)) -> LabelArray:
    labels = np.zeros(size, np.uint16)
    labels[disk(middle, RADIUS, shape=size)] = 1
    return labels


def test_a_disc_is_traced_on_its_edge_with_normals_outwards() -> None:
    outline = trace_outlines(round_label(), reach_px=3)[1]
    off = outline.points_px - [120, 100]
    np.testing.assert_allclose(np.linalg.norm(off, axis=1), RADIUS, atol=1.0)
    assert np.linalg.norm(off, axis=1).mean() == pytest.approx(RADIUS, abs=0.25)
    np.testing.assert_allclose(np.linalg.norm(outline.outward, axis=1), 1, atol=1e-9)
    assert ((outline.outward * off / RADIUS).sum(axis=1) > 0.95).all()
    assert not outline.at_photo_edge.any()
    assert not outline.other.any()


def test_a_rectangle_keeps_its_size_to_the_pixels_edges() -> None:
    labels = np.zeros((60, 120), np.uint16)
    labels[20:40, 10:110] = 1  # 100 x 20 pixels, edges at 9.5 and 109.5, 19.5 and 39.5
    points = trace_outlines(labels, reach_px=2)[1].points_px
    np.testing.assert_allclose(points.min(axis=0), [9.5, 19.5], atol=0.01)
    np.testing.assert_allclose(points.max(axis=0), [109.5, 39.5], atol=0.01)


@pytest.mark.parametrize(("gap", "touches"), [(0, True), (2, True), (8, False)])
def test_a_neighbour_within_reach_is_named_where_it_lies(gap: int, touches: bool) -> None:
    labels = np.zeros((100, 140), np.uint16)
    labels[30:50, 20:120] = 4
    labels[50 + gap : 70 + gap, 60:120] = 9
    outlines = trace_outlines(labels, reach_px=4)
    assert set(outlines) == {4, 9}
    upper = outlines[4]
    assert set(np.unique(upper.other)) == ({0, 9} if touches else {0})
    if touches:
        meeting = upper.points_px[upper.other == 9]
        assert (meeting[:, 1] > 45).all()
        assert meeting[:, 0].min() == pytest.approx(60, abs=4)
        assert (outlines[9].other == 4).any()


@pytest.mark.parametrize("middle", [(30, 120), (170, 120), (100, 30), (100, 210)])
def test_where_the_picture_ends_the_outline_says_so(middle: tuple[int, int]) -> None:
    outline = trace_outlines(round_label(middle=middle), reach_px=3)[1]
    at_edge = outline.points_px[outline.at_photo_edge]
    assert len(at_edge) > 20
    to_edge = np.minimum(at_edge, np.array([239, 199]) - at_edge).min(axis=1)
    assert (to_edge < 1.5).all()
    assert not outline.at_photo_edge.all()


def test_the_largest_part_counts_and_a_missing_number_is_no_fry() -> None:
    labels = round_label()
    labels[5:10, 5:10] = 1
    labels[190:198, 200:230] = 3
    outlines = trace_outlines(labels, reach_px=3)
    assert set(outlines) == {1, 3}
    assert outlines[1].points_px.min() > 20


def test_a_long_outline_is_thinned_and_stays_whole() -> None:
    labels = np.zeros((400, 4000), np.uint16)
    labels[100:300, 100:3900] = 1
    outline = trace_outlines(labels, reach_px=3)[1]
    assert 400 < len(outline.points_px) < 1700
    steps = np.linalg.norm(np.diff(outline.points_px, axis=0, append=outline.points_px[:1]), axis=1)
    assert steps.max() < 3 * np.median(steps) + 5


def test_no_labels_no_outlines() -> None:
    assert trace_outlines(np.zeros((20, 20), np.uint16), reach_px=3) == {}
