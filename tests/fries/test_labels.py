from dataclasses import replace

import cv2
import numpy as np
import pytest

from grader.arrays import ByteArray, FloatArray, LabelArray
from grader.fries.labels import full_labels, tidy_labels
from grader.fries.numbered import boxes_of, numbered
from grader.fries.sight import Sight
from grader.fries.view import MM_PER_PX, View, view_of
from grader.photo.srgb import linear_light, linear_to_srgb
from tests.fries.solids import GOLDEN, light_of

MATRIX = np.array([[0.6, 0.25, 0.02], [0.3, 0.65, 0.13], [0.1, 0.1, 0.85]])
"""Linear rgb to XYZ over white: some camera's, no one's in particular; a neutral stays neutral."""
WHITE_PLATE, GREY_PLATE, BLUE_PLATE = (0.8, 0.8, 0.78), (0.25, 0.25, 0.25), (0.1, 0.14, 0.3)
PX_PER_MM = 8.0


def photo_of_two_bars(
    plate: tuple[float, float, float], *, edge: float, shade: float = 1.0
) -> tuple[ByteArray, FloatArray]:
    """Two bars along x whose edges lie at fractions of a pixel; the photo, and how much of each pixel is fry."""
    fine = np.arange(4800) / 8
    covered = np.zeros(4800)
    for top in (100.0, 300.0):
        covered[(fine >= top + edge) & (fine < top + edge + 76.4)] = 1
    share = covered.reshape(600, 8).mean(axis=1)
    rows = share[:, None] * light_of(GOLDEN) + (1 - share[:, None]) * np.array(plate)
    light = np.broadcast_to(rows[:, None] * shade, (600, 800, 3)).copy()
    light[:, :40], light[:, -40:] = np.array(plate) * shade, np.array(plate) * shade
    return np.asarray(np.rint(255 * linear_to_srgb(light)), np.uint8), share


def reduced(pixels: ByteArray) -> View:
    reduction = 1 / (MM_PER_PX * PX_PER_MM)
    small = cv2.resize(pixels, None, fx=reduction, fy=reduction, interpolation=cv2.INTER_AREA)
    xyz = np.asarray(linear_light(np.asarray(small, np.uint8)) @ MATRIX.astype(np.float32), np.float32)
    return view_of(xyz, MATRIX, np.zeros(xyz.shape[:2], bool), reduction=reduction)


def coarse(view: View) -> np.ndarray[tuple[int, int], np.dtype[np.uint16]]:
    """Bars to about a pixel, as finding them gives them; the upper is 1, the lower 2."""
    yellow = view.yellowness_log < -0.35
    labels = yellow.astype(np.uint16)
    labels[labels.shape[0] // 2 :] *= 2
    return labels


def silent(view: View) -> Sight:
    """The network says nothing, so that colour decides alone."""
    nothing = np.zeros(view.barred.shape, np.float32)
    return Sight(
        fry_logit=nothing,
        seam_logit=nothing,
        direction=np.zeros((*nothing.shape, 2), np.float32),
        height_mm=nothing,
        box=np.s_[:, :],
    )


@pytest.mark.parametrize("plate", [WHITE_PLATE, GREY_PLATE, BLUE_PLATE], ids=["white", "grey", "blue"])
@pytest.mark.parametrize("edge", [0.0, 0.25, 0.5, 0.75])
def test_the_edge_lies_where_a_pixel_is_half_fry(plate: tuple[float, float, float], edge: float) -> None:
    pixels, share = photo_of_two_bars(plate, edge=edge)
    view = reduced(pixels)
    labels = full_labels(pixels, view, silent(view), coarse(view)).labels
    assert labels.shape == pixels.shape[:2]
    column = labels[:, 400]
    assert (column[share == 0] == 0).all()
    assert (column[share == 1] > 0).all()
    for number in (1, 2):
        assert (column == number).sum() == pytest.approx(share.sum() / 2, abs=1.0)


def test_over_all_places_of_the_edge_the_width_is_right_on_average() -> None:
    widths = []
    for edge in np.arange(8) / 8:
        pixels, _ = photo_of_two_bars(GREY_PLATE, edge=float(edge))
        view = reduced(pixels)
        widths += [(full_labels(pixels, view, silent(view), coarse(view)).labels[:, 400] == n).sum() for n in (1, 2)]
    assert np.mean(widths) == pytest.approx(76.4, abs=0.3)


def test_shade_moves_no_edge() -> None:
    found = []
    for shade in (1.0, 0.5):
        pixels, _ = photo_of_two_bars(GREY_PLATE, edge=0.5, shade=shade)
        view = reduced(pixels)
        found.append(full_labels(pixels, view, silent(view), coarse(view)).labels > 0)
    assert (found[0] != found[1]).mean() < 0.002


def two_fries() -> LabelArray:
    labels = np.zeros((80, 200), np.uint16)
    labels[10:30, 10:100], labels[50:70, 20:180] = 7, 3
    return labels


@pytest.mark.parametrize("plate", [WHITE_PLATE, GREY_PLATE])
def test_each_fry_lies_within_the_box_that_is_given_for_it(plate: tuple[float, float, float]) -> None:
    pixels, _ = photo_of_two_bars(plate, edge=0.3)
    view = reduced(pixels)
    found = full_labels(pixels, view, silent(view), coarse(view))
    assert set(found.boxes) == {1, 2}
    for number, (rows, columns) in boxes_of(found.labels).items():
        wide = found.boxes[number]
        assert wide[0].start <= rows.start < rows.stop <= wide[0].stop < rows.stop + 40
        assert wide[1].start <= columns.start < columns.stop <= wide[1].stop


def test_tidying_numbers_anew_and_keeps_the_shapes() -> None:
    labels = two_fries()
    tidy = tidy_labels(numbered(labels), least_px=100).labels
    assert set(np.unique(tidy)) == {0, 1, 2}
    assert ((tidy > 0) == (labels > 0)).all()
    assert all(len(np.unique(tidy[labels == n])) == 1 for n in (3, 7))
    assert tidy.dtype == np.uint16


def test_tidying_drops_specks_and_scraps() -> None:
    labels = two_fries()
    labels[0:3, 150:153] = 5
    labels[40:44, 10:15] = 7  # a scrap of fry 7
    tidy = tidy_labels(numbered(labels), least_px=100).labels
    assert tidy.max() == 2
    assert not tidy[0:3, 150:153].any()
    assert not tidy[40:44, 10:15].any()


def test_tidying_keeps_a_fry_that_shows_in_two_parts_one_fry() -> None:
    labels = two_fries()
    labels[10:30, 50:70] = 4  # fry 4 lies over fry 7
    tidy = tidy_labels(numbered(labels), least_px=100).labels
    assert tidy.max() == 3
    assert tidy[20, 20] == tidy[20, 90] != tidy[20, 60]


def test_where_two_parts_together_are_too_small_nothing_is_left() -> None:
    labels = np.zeros((40, 100), np.uint16)
    labels[10:14, 10:20] = labels[10:14, 60:70] = 1
    assert tidy_labels(numbered(labels), least_px=80).labels.any()
    assert not tidy_labels(numbered(labels), least_px=81).labels.any()


def test_where_all_is_too_small_nothing_is_left() -> None:
    assert not tidy_labels(numbered(two_fries()), least_px=1e6).labels.any()


def test_where_a_charred_end_has_no_colour_the_network_tells() -> None:
    pixels, _ = photo_of_two_bars(WHITE_PLATE, edge=0.0)
    view = reduced(pixels)
    labels = coarse(view)
    sure = replace(silent(view), fry_logit=np.where(labels > 0, np.float32(9), np.float32(-9)))
    charred = pixels.copy()
    charred[:, 700:760][full_labels(pixels, view, sure, labels).labels[:, 700:760] > 0] = 12
    kept = full_labels(charred, reduced(charred), sure, labels).labels
    assert (kept[130, 700:755] > 0).all()
    lost = full_labels(charred, reduced(charred), silent(view), labels).labels
    assert (lost > 0).sum() < (kept > 0).sum()
