import cv2
import numpy as np
import pytest

from grader.chart import ChartPhoto, chart_values, check_photos
from grader.chart.checking import encoded, figures
from grader.colour import lab_to_xyz
from grader.photo.srgb import linear_light, srgb_to_linear
from tests.chart.photographs import jpeg_bytes, photograph, random_sensor, random_view
from tests.chart.test_finding import outer_corners_px, taken

VALUES = chart_values("after-november-2014")


def test_photographs_are_checked_and_summed_up_and_bad_ones_told() -> None:
    rng = np.random.default_rng(11)
    photos = [
        ChartPhoto(
            name=f"{number}.jpg",
            data=jpeg_bytes(photograph(lab_to_xyz(VALUES.patch_lab), random_sensor(rng), random_view(rng), rng)),
        )
        for number in range(3)
    ]
    picture, view = taken(12, 0.5)
    photos.append(ChartPhoto(name="corners.jpg", data=jpeg_bytes(picture), corners_px=outer_corners_px(view)))
    photos.append(ChartPhoto(name="empty.jpg", data=b""))
    photos.append(ChartPhoto(name="nothing.jpg", data=jpeg_bytes(np.full((700, 700, 3), 90, np.uint8))))
    check = check_photos(photos, VALUES)
    assert [photo.name for photo in check.photos] == ["0.jpg", "1.jpg", "2.jpg", "corners.jpg"]
    assert [(one.name, "chart" in one.message) for one in check.refused] == [
        ("empty.jpg", False),
        ("nothing.jpg", True),
    ]
    assert check.photos[-1].chart is not None
    assert check.photos[-1].chart.found_by == "corners"
    for method in ("the grader", "3x3 matrix"):
        together = check.predicted(method)
        assert together.count == sum(photo.even_used for photo in check.photos)
        parts = np.concatenate([photo.predictions[method].predicted_de for photo in check.photos])
        assert together.median == pytest.approx(np.median(parts))
        assert together.largest == parts.max()
        assert check.fitted(method).count == sum(photo.odd_used for photo in check.photos)
    assert check.predicted("the grader").median < min(1.2, check.predicted("3x3 matrix").median)
    assert check.fitted("the grader").median < check.predicted("the grader").median


def test_a_small_picture_of_a_chart_will_do() -> None:
    picture, _ = taken(14, 0.9)
    small = np.asarray(cv2.resize(picture, (320, 240), interpolation=cv2.INTER_AREA), np.uint8)
    check = check_photos([ChartPhoto(name="small.jpg", data=jpeg_bytes(small))], VALUES)
    assert not check.refused
    assert check.predicted("the grader").median < 1.5


def test_no_photographs_have_no_figures() -> None:
    none = check_photos([], VALUES).predicted("the grader")
    assert none.count == 0
    assert np.isnan([none.median, none.p95, none.largest]).all()
    assert figures([np.array([1.0, 3.0])]).median == 2


def test_linear_values_are_encoded_and_come_back() -> None:
    share = np.linspace(0, 1, 300).reshape(10, 10, 3)
    for again, step in (
        (encoded((share * 255).astype(np.uint8)), 1 / 255),
        (encoded((share * 65535).astype(np.uint16)), 1 / 20000),
    ):
        assert again.dtype == np.uint16
        np.testing.assert_allclose(srgb_to_linear(again / 65535), share, atol=step)


def test_a_file_of_linear_values() -> None:
    picture, _ = taken(13, 0.5)
    linear = np.rint(linear_light(picture) * 30000).astype(np.uint16)
    _, packed = cv2.imencode(".png", linear[..., ::-1])
    check = check_photos([ChartPhoto(name="raw.png", data=packed.tobytes(), linear=True)], VALUES)
    assert not check.refused
    assert check.predicted("the grader").median < 1.2
