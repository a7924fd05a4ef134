import numpy as np
import pytest

from grader.arrays import FloatArray
from grader.fries.geometry import measure_strip
from grader.fries.outline import trace_outlines
from grader.fries.sampling import FryPixels, draw_pixels
from tests.card.scenes import Pinhole
from tests.fries.solids import Bar, Paint, camera_of, camera_over, label_of, light_of, paint, photo_of, plain

SEEN_BY = camera_over(tilt_deg=8, towards_deg=20)
LEFT, RIGHT = (60.0, 5.0, 30.0), (60.0, -5.0, -20.0)


def two_colours(middle_mm: float) -> Paint:
    """One colour up to the middle, another beyond."""
    return lambda along, _across: np.where((along < middle_mm)[:, None], light_of(LEFT), light_of(RIGHT))


def drawn(bar: Bar, colour: Paint, *, seen_by: Pinhole = SEEN_BY) -> FryPixels:
    labels = label_of([bar], seen_by)
    outline = trace_outlines(labels, reach_px=3)[1]
    camera = camera_of(seen_by)
    strip = measure_strip(outline, camera, ground_mm=bar.ground_mm, ground_u_mm=0.2, width_mm=9.5)
    return draw_pixels(photo_of([bar], [colour], seen_by), labels, 1, strip, camera, ground_mm=bar.ground_mm)


@pytest.mark.parametrize("ground_mm", [0.0, 9.0])
def test_the_nodes_cover_the_fry_and_nothing_else(ground_mm: float) -> None:
    bar = Bar(heading_deg=25, ground_mm=ground_mm)
    pixels = drawn(bar, plain(LEFT))
    assert pixels.along_mm.min() < 1.5
    assert pixels.along_mm.max() == pytest.approx(bar.length, abs=1.5)
    assert np.abs(pixels.across_mm).max() < bar.width * 0.8
    off = pixels.xy_mm - np.array(bar.middle)
    assert np.abs(off @ bar.axis).max() < bar.length / 2 + 1
    # The blurred rim, partly plate, is left out: what remains of the top is the fry's own colour.
    top = pixels.rgb[pixels.on_top]
    assert np.abs(top - np.median(top, axis=0)).max(axis=1).mean() < 0.03


def test_each_pixel_lies_at_its_place_along_the_fry() -> None:
    pixels = drawn(Bar(), two_colours(30.0))
    bluish = pixels.rgb[:, 2] > pixels.rgb[:, 0]
    first_is_left = abs(pixels.along_mm[bluish].min() - 30) < 5
    edge = 30.0 if first_is_left else 50.0
    beyond = bluish if first_is_left else ~bluish
    clear = np.abs(pixels.along_mm - edge) > 1.0
    assert (beyond[clear] == (pixels.along_mm[clear] > edge)).mean() > 0.99


def test_the_flank_that_is_turned_to_the_camera_is_no_top() -> None:
    far_aside = drawn(Bar(middle=(74, 150), heading_deg=0), plain(LEFT), seen_by=camera_over())
    below = drawn(Bar(middle=(74, 52), heading_deg=0), plain(LEFT), seen_by=camera_over())
    assert below.on_top.mean() > 0.9
    assert 0.55 < far_aside.on_top.mean() < 0.9
    luminance = far_aside.rgb.mean(axis=1)
    assert np.median(luminance[~far_aside.on_top]) < 0.75 * np.median(luminance[far_aside.on_top])
    assert np.percentile(luminance[far_aside.on_top], 10) > np.percentile(luminance[~far_aside.on_top], 80)


def test_the_share_of_clipped_pixels_is_that_painted() -> None:
    def bright_third(along: FloatArray, _across: FloatArray) -> FloatArray:
        return np.where((along < 24)[:, None], 1.5, 0.4 * np.ones(3))

    assert drawn(Bar(), bright_third).clipped_share == pytest.approx(0.3, abs=0.06)
    assert drawn(Bar(), plain(LEFT)).clipped_share == 0


def test_at_the_photos_edge_nothing_is_drawn_from_beyond_it() -> None:
    camera = camera_over()
    corner_mm = np.array([74.0, 52.0]) + np.array([-1, 0]) * 300 * SEEN_BY.size[0] / 2 / SEEN_BY.focal
    pixels = drawn(Bar(middle=(float(corner_mm[0]), float(corner_mm[1]))), plain(LEFT), seen_by=camera)
    assert len(pixels.rgb) > 100
    assert np.ptp(pixels.along_mm) < 60


def test_sixteen_bits_say_the_same_as_eight() -> None:
    bar = Bar()
    labels, camera = label_of([bar], SEEN_BY), camera_of(SEEN_BY)
    strip = measure_strip(trace_outlines(labels, reach_px=3)[1], camera, ground_mm=0, ground_u_mm=0.2, width_mm=9.5)
    photo = photo_of([bar], [plain(LEFT)], SEEN_BY)
    one, other = (
        draw_pixels(picture, labels, 1, strip, camera, ground_mm=0)
        for picture in (photo, photo.astype(np.uint16) * 257)
    )
    np.testing.assert_allclose(one.rgb, other.rgb, atol=1e-4)
    assert one.clipped_share == other.clipped_share


def test_a_bar_narrower_than_its_rim_gives_nothing() -> None:
    light = np.full((*SEEN_BY.size[::-1], 3), 0.75)
    bar = Bar(width=0.5, thickness=0.5)
    paint(light, bar, SEEN_BY, plain(LEFT))
    pixels = drawn(bar, plain(LEFT))
    assert len(pixels.rgb) < 20
    assert 0 <= pixels.clipped_share <= 1
