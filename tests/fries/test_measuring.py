"""Fries painted over exact solids, measured: numbers, flags, dark ends, spots, skin."""

from functools import cache

import cv2
import numpy as np
import pytest

from grader.arrays import ByteArray, FloatArray, LabelArray
from grader.colour.cie import lab_to_xyz
from grader.colour.difference import ciede2000
from grader.colour.sheet import SheetColour, SheetSamples, fit_sheet_colour
from grader.fries.measuring import Ground, measure_fries
from grader.fries.model import Fry, FryFlag
from grader.fries.outline import trace_outlines
from tests.card.scenes import Pinhole
from tests.fries.shapes import Hook, Wedge, label_of_shapes
from tests.fries.solids import (
    BROWN,
    CARD,
    GOLDEN,
    PALE,
    Bar,
    Paint,
    camera_of,
    camera_over,
    encoded,
    fry_paint,
    label_of,
    light_of,
    on_plane,
    photo_of,
)

SEEN_BY = camera_over(tilt_deg=3, towards_deg=40)
CUT_MM = 9.5


@cache
def exact_colour() -> SheetColour:
    """The correction of an sRGB camera in even light."""
    middles = [[p.area.x_mm + p.area.width_mm / 2, p.area.y_mm + p.area.height_mm / 2] for p in CARD.patches]
    ground_mm = np.array([[x, y] for x in (2.0, 74.0, 146.0) for y in (2.0, 52.0, 103.0)])
    rgb = np.array([light_of(patch.lab) for patch in CARD.patches])
    samples = SheetSamples(
        patch_xy_mm=np.array(middles),
        patch_rgb=rgb,
        patch_rgb_u=np.full(rgb.shape, 0.001),
        patch_lab=np.array([patch.lab for patch in CARD.patches]),
        patch_lab_u=np.zeros(rgb.shape),
        patch_usable=np.ones(len(rgb), bool),
        ground_xy_mm=ground_mm,
        ground_rgb=np.broadcast_to(light_of(CARD.base_lab), (len(ground_mm), 3)),
        ground_lab=np.broadcast_to(np.array(CARD.base_lab), (len(ground_mm), 3)),
    )
    return fit_sheet_colour(samples)


def measured(
    pixels: ByteArray, labels: LabelArray, *, seen_by: Pinhole = SEEN_BY, heaped: bool = False
) -> tuple[Fry, ...]:
    return measure_fries(
        pixels,
        labels,
        trace_outlines(labels, reach_px=4),
        camera_of(seen_by),
        exact_colour(),
        ground=Ground(height_mm=0.0, height_u_mm=0.2, heaped=heaped, cut_width_mm=CUT_MM, matt=False),
    )


def row_of(count: int, *, length: float = 80.0) -> list[Bar]:
    """Bars below each other, apart, first ends left."""
    return [Bar(middle=(74.0, -20.0 + 22.0 * k), length=length) for k in range(count)]


def plate(bars: list[Bar], paints: list[Paint], *, heaped: bool = False) -> tuple[Fry, ...]:
    return measured(photo_of(bars, paints, SEEN_BY), label_of(bars, SEEN_BY), heaped=heaped)


@pytest.fixture(scope="module")
def plain_plate() -> tuple[Fry, ...]:
    """Six fries: golden, pale, brown, golden ..."""
    return plate(row_of(6), [fry_paint(lab, number=k) for k, lab in enumerate([GOLDEN, PALE, BROWN] * 2)])


@pytest.fixture(scope="module")
def faulty_plate() -> tuple[Fry, ...]:
    """Plain, dark end of 12 mm, of 22 mm at the other end, three spots, a face of skin, brown."""
    bars = row_of(6)
    paints = [
        fry_paint(number=1),
        fry_paint(dark_mm=12, number=2),
        fry_paint(dark_mm=22, number=3),
        fry_paint(spots=((25.0, 0.0, 3.0), (45.0, 1.0, 4.0), (60.0, -1.0, 2.5)), number=4),
        fry_paint(skin_mm=6.6, number=5),
        fry_paint(BROWN, number=6),
    ]
    bars[2] = Bar(middle=bars[2].middle, heading_deg=180)
    return plate(bars, paints)


def test_each_fry_is_measured_whole_and_without_a_flag(plain_plate: tuple[Fry, ...]) -> None:
    assert [fry.number for fry in plain_plate] == [1, 2, 3, 4, 5, 6]
    for fry in plain_plate:
        assert fry.whole
        assert fry.flags == FryFlag.NONE
        assert fry.length_mm is not None
        assert fry.straight_mm is not None
        assert fry.width_mm is not None
        assert fry.length_mm.value == pytest.approx(80, abs=0.6)
        assert fry.straight_mm.value <= fry.length_mm.value + 1e-6
        assert fry.width_mm.value == pytest.approx(9.5, abs=0.5)
        assert fry.area_mm2 == pytest.approx(80 * 9.5, rel=0.06)
        assert fry.length_mm.u > 0


def test_their_colours_are_those_painted(plain_plate: tuple[Fry, ...]) -> None:
    for fry, lab in zip(plain_plate, [GOLDEN, PALE, BROWN] * 2, strict=True):
        assert fry.colour is not None
        assert ciede2000(fry.colour.lab, np.array(lab)) < 3
        assert (np.abs(fry.colour.lab - lab) < 3 * fry.colour.u + 1).all()
        assert fry.body_lab is not None
        assert ciede2000(fry.body_lab, np.array(lab)) < 3
        assert fry.end_labs is not None
        assert all(ciede2000(end, fry.body_lab) < 2 for end in fry.end_labs)


def test_equal_fries_read_equal_and_the_plates_doubt_is_shared(plain_plate: tuple[Fry, ...]) -> None:
    for one, other in zip(plain_plate[:3], plain_plate[3:], strict=True):
        assert one.colour is not None
        assert other.colour is not None
        assert ciede2000(one.colour.lab, other.colour.lab) < 1
        assert (one.colour.shared_u > 0).all()
        assert (one.colour.own_u > 0).all()


def test_even_fries_have_no_faults(plain_plate: tuple[Fry, ...]) -> None:
    for fry in plain_plate:
        assert fry.dark_end_mm is None
        assert fry.dark_end_dl is None
        assert fry.spots_mm == ()
        assert fry.skin_share < 0.05
        assert fry.spread_de is not None
        assert fry.spread_de < 4


@pytest.mark.parametrize(("number", "reach_mm"), [(2, 12.0), (3, 22.0)])
def test_a_dark_end_reaches_to_where_half_of_its_darkness_is_left(
    faulty_plate: tuple[Fry, ...], number: int, reach_mm: float
) -> None:
    fry = faulty_plate[number - 1]
    assert fry.dark_end_mm is not None
    assert fry.dark_end_mm.value == pytest.approx(reach_mm, abs=3)
    assert fry.dark_end_mm.u > 0
    assert fry.dark_end_dl == pytest.approx(GOLDEN[0] - 38, abs=7)
    assert fry.body_lab is not None
    assert ciede2000(fry.body_lab, np.array(GOLDEN)) < 4
    assert fry.end_labs is not None
    assert abs(fry.end_labs[0][0] - fry.end_labs[1][0]) > 12


def test_only_the_dark_ends_are_reported(faulty_plate: tuple[Fry, ...]) -> None:
    assert [fry.number for fry in faulty_plate if fry.dark_end_mm is not None] == [2, 3]


def test_spots_are_counted_with_their_sizes(faulty_plate: tuple[Fry, ...]) -> None:
    clear = sorted(diameter for diameter in faulty_plate[3].spots_mm if diameter >= 1.5)
    assert clear == pytest.approx([2.5, 3.0, 4.0], abs=0.9)
    assert all(faulty_plate[k].spots_mm == () for k in (0, 5))


def test_only_the_spotted_fry_has_spots(faulty_plate: tuple[Fry, ...]) -> None:
    assert [fry.number for fry in faulty_plate if fry.spots_mm] == [4]


def test_a_face_of_skin_is_told_and_left_out_of_the_flesh(faulty_plate: tuple[Fry, ...]) -> None:
    plain_fry, skinned = faulty_plate[0], faulty_plate[4]
    assert 0.45 < skinned.skin_share < 0.95
    assert all(fry.skin_share < 0.05 for fry in faulty_plate if fry is not skinned)
    assert skinned.colour is not None
    assert plain_fry.colour is not None
    skin = np.array([33.0, 8.0, 13.0])
    assert ciede2000(skinned.colour.lab, np.array(GOLDEN)) < 0.5 * ciede2000(skinned.colour.lab, skin)
    assert skinned.colour.u[0] > plain_fry.colour.u[0]
    assert skinned.spots_mm == ()
    assert skinned.dark_end_mm is None


def test_what_is_uneven_spreads_wider(faulty_plate: tuple[Fry, ...]) -> None:
    spread = [fry.spread_de or 0.0 for fry in faulty_plate]
    assert min(spread[1], spread[2], spread[3]) > max(spread[0], spread[5]) > 0


def crossed() -> tuple[list[Bar], tuple[Fry, ...]]:
    """Two fries under the ends of a third, one free."""
    top = Bar(middle=(74, 30), length=100, heading_deg=0, ground_mm=0)
    below = Bar(middle=(74 - 20, 30 + 38.0), length=80, heading_deg=90)
    free = Bar(middle=(74, -20))
    bars = [below, free, top]
    return bars, plate(bars, [fry_paint(number=k) for k in range(3)])


def test_a_fry_whose_end_lies_under_another_has_a_colour_and_no_length() -> None:
    bars, (below, free, top) = crossed()
    assert below.flags & FryFlag.END_HIDDEN
    assert not below.whole
    assert below.length_mm is None
    assert below.straight_mm is None
    assert below.dark_end_mm is None
    assert below.width_mm is not None
    assert below.colour is not None
    assert ciede2000(below.colour.lab, np.array(GOLDEN)) < 3
    for fry, bar in ((free, bars[1]), (top, bars[2])):
        assert fry.whole
        assert fry.length_mm is not None
        assert fry.length_mm.value == pytest.approx(bar.length, abs=0.8)


def test_fries_side_by_side_are_whole_and_say_that_they_were_separated() -> None:
    bars = [Bar(middle=(74, 52)), Bar(middle=(80, 61.5)), Bar(middle=(74, 100))]
    one, other, free = plate(bars, [fry_paint(number=k) for k in range(3)])
    for fry in (one, other):
        assert fry.flags & FryFlag.SPLIT_FROM_NEIGHBOUR
        assert fry.whole
        assert fry.length_mm is not None
        assert fry.length_mm.value == pytest.approx(80, abs=1.2)
    assert not free.flags & FryFlag.SPLIT_FROM_NEIGHBOUR


def test_end_to_end_the_ends_are_not_sure() -> None:
    bars = [Bar(middle=(30, 52), length=70), Bar(middle=(100.0, 52), length=70)]
    for fry in plate(bars, [fry_paint(number=k) for k in range(2)]):
        assert fry.flags & FryFlag.END_HIDDEN
        assert fry.length_mm is None


@pytest.mark.parametrize("heading", [0, 90])
def test_a_fry_that_runs_out_of_the_picture_has_a_colour_and_no_length(heading: float) -> None:
    edge = on_plane(SEEN_BY, np.array([[0.0, 750.0], [1000.0, 0.0]]), 0.0)[0 if heading == 0 else 1]
    bars = [Bar(middle=(float(edge[0]), float(edge[1])), heading_deg=heading), Bar(middle=(74, 60))]
    cut_off, whole = plate(bars, [fry_paint(number=k) for k in range(2)])
    assert cut_off.flags & FryFlag.AT_PHOTO_EDGE
    assert not cut_off.whole
    assert cut_off.length_mm is None
    assert cut_off.colour is not None
    assert not whole.flags & FryFlag.AT_PHOTO_EDGE


def test_in_a_heap_there_are_colours_and_no_lengths() -> None:
    for fry in plate(row_of(4), [fry_paint(number=k) for k in range(4)], heaped=True):
        assert not fry.whole
        assert fry.length_mm is None
        assert fry.straight_mm is None
        assert fry.flags & FryFlag.END_HIDDEN
        assert fry.colour is not None


def test_wedges_have_sizes_and_no_colour() -> None:
    wedges: list[Hook | Wedge] = [Wedge(middle=(74, 10 + 42 * k), heading_deg=4 * k) for k in range(3)]
    labels = label_of_shapes(wedges, SEEN_BY)
    light = np.full((*labels.shape, 3), 0.75)
    light[labels > 0] = light_of(GOLDEN)
    for fry in measured(encoded(light), labels):
        assert fry.flags == FryFlag.SLOPING
        assert fry.length_mm is not None
        assert fry.length_mm.value == pytest.approx(wedges[0].length, abs=1.0)
        assert fry.width_mm is not None
        assert fry.colour is None
        assert fry.body_lab is None


def test_an_outline_that_is_no_strip_says_so() -> None:
    bars = [Bar(middle=(74, 20)), Bar(middle=(40, 56), heading_deg=90), Bar(middle=(74, 110))]
    labels = label_of(bars, SEEN_BY)
    labels[labels == 2] = 1
    bent, straight = measured(photo_of(bars, [fry_paint(number=k) for k in range(3)], SEEN_BY), labels)
    assert bent.flags & FryFlag.ODD_SHAPE
    assert not straight.flags & FryFlag.ODD_SHAPE


def test_glints_are_left_out_of_the_colour_and_told() -> None:
    bars = row_of(3)

    def shiny(along: FloatArray, across: FloatArray) -> FloatArray:
        light = np.array(fry_paint()(along, across))
        light[np.abs(across) < 0.9] += 0.3
        return light

    glossy, *rest = plate(bars, [shiny, fry_paint(), fry_paint(number=3)])
    assert glossy.flags & FryFlag.SHINY
    assert not any(fry.flags & FryFlag.SHINY for fry in rest)
    assert glossy.colour is not None
    assert rest[0].colour is not None
    assert ciede2000(glossy.colour.lab, rest[0].colour.lab) < 3


def test_what_is_too_bright_for_the_camera_is_told() -> None:
    bars = row_of(3)

    def burnt_out(along: FloatArray, across: FloatArray) -> FloatArray:
        light = np.array(fry_paint(PALE)(along, across))
        light[along > 50] = 1.5
        return light

    bright, *rest = plate(bars, [burnt_out, fry_paint(), fry_paint(number=3)])
    assert bright.flags & FryFlag.CLIPPED
    assert not any(fry.flags & FryFlag.CLIPPED for fry in rest)


def test_a_scrap_has_an_outline_and_no_colour() -> None:
    bars = [Bar(middle=(74, 20)), Bar(middle=(74, 80), length=3.0, width=2.0, thickness=2.0)]
    _, scrap = plate(bars, [fry_paint(number=k) for k in range(2)])
    assert scrap.colour is None
    assert scrap.body_lab is None
    assert scrap.spread_de is None
    assert len(scrap.outline_px) > 0


def test_twice_as_many_pixels_of_the_same_plate_change_nothing() -> None:
    bars, paints = row_of(3), [fry_paint(number=k) for k in range(3)]
    small, labels = photo_of(bars, paints, SEEN_BY), label_of(bars, SEEN_BY)
    double = cv2.resize(small, None, fx=2, fy=2, interpolation=cv2.INTER_CUBIC)
    double_labels = cv2.resize(labels, None, fx=2, fy=2, interpolation=cv2.INTER_NEAREST)
    twice = Pinhole(
        eye=SEEN_BY.eye,
        right=SEEN_BY.right,
        down=SEEN_BY.down,
        forward=SEEN_BY.forward,
        focal=2 * SEEN_BY.focal,
        size=(2 * SEEN_BY.size[0], 2 * SEEN_BY.size[1]),
    )
    coarse = measured(small, labels)
    fine = measured(np.asarray(double, np.uint8), np.asarray(double_labels, np.uint16), seen_by=twice)
    for one, other in zip(coarse, fine, strict=True):
        assert one.length_mm is not None
        assert other.length_mm is not None
        assert one.colour is not None
        assert other.colour is not None
        assert other.length_mm.value == pytest.approx(one.length_mm.value, abs=0.3)
        assert ciede2000(one.colour.lab, other.colour.lab) < 1


def test_the_painted_camera_is_plain_srgb() -> None:
    """IEC 61966-2-1: linear sRGB of a CIELAB by its matrix, here of the golden fry."""
    xyz = lab_to_xyz(np.array(GOLDEN))
    matrix = np.array([[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]])
    np.testing.assert_allclose(light_of(GOLDEN), matrix @ xyz, atol=0.004)
