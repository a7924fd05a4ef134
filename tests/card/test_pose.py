import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from grader.card.model import Camera
from grader.card.pose import (
    camera_height_mm,
    estimate_camera,
    focal_px,
    foot_mm,
    px_per_mm_at,
    tilt_deg,
    to_pixels,
    to_plane,
)
from tests.card.scenes import Pinhole, layout_of

CARD, MAT = layout_of("card-a6"), layout_of("mat-a4")
POINTS_MM = np.stack(np.meshgrid([4.0, 22.0, 126.0, 144.0], [4.0, 22.0, 83.0, 101.0]), axis=-1).reshape(-1, 2)
SIZE = (4000, 3000)


def estimated(truth: Pinhole, *, focal_35mm: float | None = 26.0, radial: float = 0.0) -> Camera:
    points_px = truth.flat_px(POINTS_MM)
    return estimate_camera(POINTS_MM, points_px, size_px=truth.size, focal_35mm=focal_35mm, radial=radial)


def solid_points() -> NDArray[np.float64]:
    return np.random.default_rng(2).uniform([0, 0, 0], [148, 105, 40], (50, 3))


@pytest.mark.parametrize("tilt", [0, 3, 12, 25])
@pytest.mark.parametrize("towards", [20, 170, 290])
@pytest.mark.parametrize("turned", [0, 100])
def test_the_camera_is_where_it_was(tilt: float, towards: float, turned: float) -> None:
    truth = Pinhole.over(CARD, tilt_deg=tilt, towards_deg=towards, turned_deg=turned, size=SIZE)
    camera = estimated(truth)
    assert camera_height_mm(camera) == pytest.approx(truth.eye[2], abs=1e-3)
    np.testing.assert_allclose(foot_mm(camera), truth.eye[:2], atol=1e-2)
    assert tilt_deg(camera) == pytest.approx(tilt, abs=1e-2)
    assert camera.focal_known


def test_points_over_the_sheet_are_seen_where_the_true_camera_sees_them() -> None:
    truth = Pinhole.over(CARD, tilt_deg=11, towards_deg=70, turned_deg=-40, size=SIZE, k1=0.018)
    points = solid_points()
    np.testing.assert_allclose(to_pixels(estimated(truth, radial=0.018), points), truth.px(points), atol=0.01)


def test_height_counts_towards_the_camera() -> None:
    camera = estimated(Pinhole.over(CARD, size=SIZE))
    low, high = (np.ptp(to_pixels(camera, np.array([[30, 50, z], [110, 50, z]]))[:, 0]) for z in (0.0, 10.0))
    height = camera_height_mm(camera)
    assert high / low == pytest.approx(height / (height - 10), rel=1e-6)
    assert high > low


def test_it_projects_as_opencv_does_with_the_height_turned_away() -> None:
    camera = estimated(Pinhole.over(CARD, tilt_deg=14, towards_deg=130, size=SIZE))
    points = solid_points()
    away = np.diag([1.0, 1.0, -1.0])
    turn = cv2.Rodrigues(np.asarray(camera.rotation @ away))[0]
    theirs = cv2.projectPoints(points @ away, turn, np.array(camera.translation), np.array(camera.intrinsics), None)[0]
    np.testing.assert_allclose(to_pixels(camera, points), np.asarray(theirs).reshape(-1, 2), atol=1e-6)


def test_the_sheet_s_frame_is_left_handed() -> None:
    camera = estimated(Pinhole.over(CARD, tilt_deg=5, size=SIZE))
    np.testing.assert_allclose(camera.rotation @ camera.rotation.T, np.eye(3), atol=1e-9)
    assert np.linalg.det(camera.rotation) == pytest.approx(-1)


@given(st.floats(0, 25), st.floats(0, 360), st.floats(-0.05, 0.05), st.floats(0, 60))
def test_mapping_to_the_plane_undoes_mapping_to_pixels(tilt: float, towards: float, radial: float, z: float) -> None:
    truth = Pinhole.over(MAT, tilt_deg=tilt, towards_deg=towards, size=SIZE, k1=radial)
    camera = estimated(truth, radial=radial)
    points = np.column_stack([POINTS_MM, np.linspace(0, z, len(POINTS_MM))])
    back = to_plane(camera, to_pixels(camera, points), points[:, 2])
    np.testing.assert_allclose(back, POINTS_MM, atol=1e-6)


def test_one_height_for_all_points_is_the_same_as_each_its_own() -> None:
    camera = estimated(Pinhole.over(CARD, tilt_deg=9, size=SIZE))
    points_px = np.random.default_rng(5).uniform(500, 2500, (7, 2))
    np.testing.assert_array_equal(to_plane(camera, points_px, 5.0), to_plane(camera, points_px, np.full(7, 5.0)))


def test_the_equivalent_focal_length_is_read_on_the_diagonal() -> None:
    # 43.267 mm is the diagonal of 36 x 24 mm: a lens as long as that sees the diagonal at 53.13 degrees.
    assert focal_px(43.267, SIZE) == pytest.approx(5000)
    assert 2 * np.degrees(np.arctan(2500 / focal_px(43.267, SIZE))) == pytest.approx(53.13, abs=0.01)


@pytest.mark.parametrize("focal", [24.0, 26.0, 35.0, 52.0])
def test_a_tilted_sheet_shows_the_focal_length(focal: float) -> None:
    truth = Pinhole.over(CARD, tilt_deg=18, towards_deg=40, focal_35mm=focal, size=SIZE)
    camera = estimated(truth, focal_35mm=None)
    assert camera.intrinsics[0, 0] == pytest.approx(truth.focal, rel=0.01)
    assert camera_height_mm(camera) == pytest.approx(truth.eye[2], rel=0.01)
    assert not camera.focal_known


def test_seen_from_straight_above_a_phone_s_usual_focal_length_stands() -> None:
    truth = Pinhole.over(CARD, focal_35mm=26, size=SIZE)
    assert estimated(truth, focal_35mm=None).intrinsics[0, 0] == pytest.approx(focal_px(26, SIZE), rel=0.02)


@pytest.mark.parametrize("height_mm", [0.0, 12.0])
def test_straight_below_the_camera_a_mm_is_the_focal_length_over_the_distance(height_mm: float) -> None:
    camera = estimated(Pinhole.over(CARD, size=SIZE))
    expected = focal_px(26.0, SIZE) / (camera_height_mm(camera) - height_mm)
    assert px_per_mm_at(camera, foot_mm(camera), height_mm) == pytest.approx(expected, rel=1e-3)
