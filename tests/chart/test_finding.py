import cv2
import numpy as np
import pytest

from grader.arrays import ByteArray, FloatArray
from grader.card.homography import apply_homography
from grader.card.printing import draw_sheet_png
from grader.chart import chart_at, chart_values, find_chart, finding
from grader.chart.checking import encoded
from grader.chart.model import PATCH_CENTRES, FoundChart
from grader.colour import D65, lab_to_srgb8, lab_to_xyz
from grader.errors import CardUnusable
from grader.photo.srgb import linear_light
from tests.chart.photographs import (
    BOARD_MM,
    MARGIN_MM,
    PATCH_MM,
    PITCH_MM,
    PX_PER_MM,
    View,
    board_xyz,
    developed,
    photograph,
    random_sensor,
    random_view,
)
from tests.chart.scenes import card_layout

LAB = chart_values("after-november-2014").patch_lab
PITCHES_OFF = 0.03
"""That a patch's middle may be off."""


def taken(number: int, fill: float) -> tuple[ByteArray, View]:
    rng = np.random.default_rng(number)
    sensor, view = random_sensor(rng), random_view(rng, fill=fill)
    return photograph(lab_to_xyz(LAB), sensor, view, rng), view


def true_centres_px(view: View) -> FloatArray:
    width, height = BOARD_MM
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    to_px = np.asarray(cv2.getPerspectiveTransform(corners, view.corners_px.astype(np.float32)), float)
    return apply_homography(to_px, MARGIN_MM + PATCH_MM / 2 + (PATCH_CENTRES - 0.5) * PITCH_MM)


def off_pitches(found: FoundChart, centres_px: FloatArray) -> float:
    pitch = np.linalg.norm(centres_px[1] - centres_px[0])
    return float(np.linalg.norm(apply_homography(found.homography, PATCH_CENTRES) - centres_px, axis=1).max() / pitch)


@pytest.mark.parametrize(
    ("fill", "turn"), [(0.9, "upright"), (0.3, "upright"), (0.5, "about"), (0.5, "mirrored"), (0.5, "sideways")]
)
def test_found_whichever_way_it_lies(fill: float, turn: str) -> None:
    picture, view = taken(int(10 * fill), fill)
    centres, (width, height) = true_centres_px(view), view.size
    match turn:
        case "about":
            picture, centres = np.ascontiguousarray(picture[::-1, ::-1]), [width - 1, height - 1] - centres
        case "mirrored":
            picture = np.ascontiguousarray(picture[:, ::-1])
            centres = np.stack([width - 1 - centres[:, 0], centres[:, 1]], -1)
        case "sideways":
            picture = np.ascontiguousarray(np.rot90(picture))
            centres = np.stack([centres[:, 1], width - 1 - centres[:, 0]], -1)
    found = find_chart(picture, LAB)
    assert found.misfit_de < 5
    assert off_pitches(found, centres) < PITCHES_OFF


def test_the_grid_finds_what_the_detector_misses(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(finding, "_WAYS", finding._WAYS[1:])
    for number in range(2):
        picture, view = taken(number + 40, (0.7, 0.3)[number])
        found = find_chart(np.ascontiguousarray(np.rot90(picture)) if number == 1 else picture, LAB)
        centres = true_centres_px(view)
        if number == 1:
            centres = np.stack([centres[:, 1], view.size[0] - 1 - centres[:, 0]], -1)
        assert found.found_by == "grid"
        assert off_pitches(found, centres) < PITCHES_OFF


def test_a_small_chart_on_a_pale_board_in_a_cluttered_picture() -> None:
    """The detector takes something else for it: the colours tell, and the grid finds the chart itself."""
    rng = np.random.default_rng(1211)
    xyz = lab_to_xyz(LAB)
    board = board_xyz(xyz)
    board[board.sum(axis=2) == board[0, 0].sum()] = 0.35 * D65
    clutter = rng.uniform(0.05, 0.6, (12, 16, 3)).astype(np.float32)
    scene = np.asarray(cv2.resize(clutter, (1600, 1200), interpolation=cv2.INTER_CUBIC), np.float32)
    small = cv2.resize(board, None, fx=0.18, fy=0.18, interpolation=cv2.INTER_AREA)
    scene[500 : 500 + small.shape[0], 700 : 700 + small.shape[1]] = small
    picture = developed(scene, random_sensor(rng), rng)
    scale = 0.18 * PX_PER_MM
    centres = (MARGIN_MM + PATCH_MM / 2 + (PATCH_CENTRES - 0.5) * PITCH_MM) * scale - 0.5 + [700, 500]
    assert off_pitches(find_chart(picture, LAB), centres) < PITCHES_OFF


def test_a_large_photo_is_found_in_its_own_pixels() -> None:
    picture, view = taken(3, 0.5)
    large = np.asarray(cv2.resize(picture, None, fx=2.5, fy=2.5), np.uint8)
    centres = (true_centres_px(view) + 0.5) * 2.5 - 0.5
    assert off_pitches(find_chart(large, LAB), centres) < PITCHES_OFF


@pytest.mark.parametrize("bits", [8, 16])
def test_a_dark_picture_of_linear_values(bits: int) -> None:
    picture, view = taken(5, 0.5)
    white = 2**bits - 1
    linear = np.rint(linear_light(picture) * (0.2 * white)).astype(np.uint8 if bits == 8 else np.uint16)
    found = find_chart(encoded(linear) if bits == 16 else linear, LAB)
    assert off_pitches(found, true_centres_px(view)) < PITCHES_OFF


def test_no_chart_is_refused() -> None:
    noise = np.random.default_rng(0).integers(0, 255, (700, 900, 3)).astype(np.uint8)
    for picture in (noise, np.full((700, 900, 3), 120, np.uint8), np.zeros((700, 900, 3), np.uint8)):
        with pytest.raises(CardUnusable, match="no 24-patch chart") as told:
            find_chart(picture, LAB)
        assert told.value.code == "chart_not_found"


def test_our_own_card_has_six_by_four_patches_and_is_no_chart() -> None:
    drawn = draw_sheet_png(card_layout(), lab_to_srgb8, px_per_mm=8)
    with pytest.raises(CardUnusable):
        find_chart(np.asarray(drawn, np.uint8), LAB)


def test_what_is_left_out_is_not_found() -> None:
    picture, view = taken(6, 0.5)
    with pytest.raises(CardUnusable):
        find_chart(picture, LAB, leave_out_px=view.corners_px)


def outer_corners_px(view: View) -> FloatArray:
    width, height = BOARD_MM
    board = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    to_px = np.asarray(cv2.getPerspectiveTransform(board, view.corners_px.astype(np.float32)), float)
    low, right, foot = MARGIN_MM, width - MARGIN_MM, height - MARGIN_MM
    return apply_homography(to_px, [[low, low], [right, low], [right, foot], [low, foot]])


@pytest.mark.parametrize("first", range(4))
def test_given_corners_from_any_of_them(first: int) -> None:
    picture, view = taken(7, 0.5)
    found = chart_at(picture, np.roll(outer_corners_px(view), first, axis=0), LAB)
    assert found.found_by == "corners"
    assert off_pitches(found, true_centres_px(view)) < 0.02


def test_given_corners_of_something_else() -> None:
    picture, view = taken(8, 0.5)
    with pytest.raises(CardUnusable, match="given corners"):
        chart_at(picture, outer_corners_px(view) * 0.6, LAB)
    with pytest.raises(CardUnusable):
        chart_at(picture, outer_corners_px(view) + 5000, LAB)


@pytest.mark.parametrize(
    "corners",
    [
        [[9, 9], [9, 9], [9, 9], [9, 9]],  # one place
        [[0, 0], [100, 0], [200, 0], [300, 0]],  # a line
        [[0, 0], [400, 0], [200, 0], [200, 300]],  # three on a line
        [[0, 0], [400, 300], [400, 0], [0, 300]],  # crosswise
        [[0, 0], [1e300, 0], [1e300, 1e300], [0, 1e300]],
    ],
)
def test_given_corners_that_are_none_of_a_quadrangle(corners: list[list[float]]) -> None:
    picture, _ = taken(8, 0.5)
    with pytest.raises(CardUnusable, match="given corners"):
        chart_at(picture, corners, LAB)
