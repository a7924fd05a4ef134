"""The tags against what others publish: the AprilTag family's own code words, and OpenCV's dictionary."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from grader.card import load_layouts
from grader.card.tags import MODULES, TAG_COUNT, find_tags, tag_bits, tag_corners_mm

# tag36h11, code words 0 to 71, and the order of their bits: AprilTag 3, github.com/AprilRobotics/apriltag, tag36h11.c
# (University of Michigan, BSD 2-clause), read at commit 65181530.
# fmt: off
CODES = (
    0xD7E00984B, 0xDDA664CA7, 0xDC4A1C821, 0xE17B470E9, 0xEF91D01B1, 0xF429CDD73, 0x05DA29225, 0x1106CBA43,
    0x223BED79D, 0x21F51213C, 0x33EB19CA6, 0x3F76EB0F8, 0x469A97414, 0x45DCFE0B0, 0x4A6465F72, 0x51801DB96,
    0x5EB946B4E, 0x68A7CC2EC, 0x6F0BA2652, 0x78765559D, 0x87B83D129, 0x86CC4A5C5, 0x8B64DF90F, 0x9C577B611,
    0xA3810F2F5, 0xAF4D75B83, 0xB59A03FEF, 0xBB1096F85, 0xD1B92FC76, 0xD0DD509D2, 0xE2CFDA160, 0x2FF497C63,
    0x47240671B, 0x5047A2E55, 0x635CA87C7, 0x691254166, 0x68F43D94A, 0x6EF24BDB6, 0x8CDD8F886, 0x9DE96B718,
    0xAFF6E5A8A, 0xBAE46F029, 0xD225B6D59, 0xDF8BA8C01, 0xE3744A22F, 0xFBB59375D, 0x18A916828, 0x22F29C1BA,
    0x286887D58, 0x41392322E, 0x75D18ECD1, 0x87C302743, 0x8C6317BA9, 0x9E40F36D7, 0xC0E5A806A, 0xCC78CB87C,
    0x12D2F2D01, 0x379F36A21, 0x6973F59AC, 0x7789EA9F4, 0x8F1C73E84, 0x8DD287A20, 0x94A4EEE4C, 0xA455379B5,
    0xA9E92987D, 0xBD25CB40B, 0xBE98D3582, 0xD3D5972B2, 0x14C53D7C7, 0x4F1796936, 0x4E71FED1A, 0x66D46FAE0,
)
# fmt: on


def published_bits(code: int) -> NDArray[np.uint8]:
    """(8, 8): the first bit is the code's top left one; each quarter of the bits is the one before it, turned."""
    quarter = [(1, 1), (2, 1), (3, 1), (4, 1), (5, 1), (2, 2), (3, 2), (4, 2), (3, 3)]
    order = list(quarter)
    for _ in range(3):
        quarter = [(MODULES - 1 - y, x) for x, y in quarter]
        order += quarter
    bits = np.zeros((MODULES, MODULES), np.uint8)
    for (x, y), bit in zip(order, f"{code:036b}", strict=True):
        bits[y, x] = int(bit)
    return bits


@pytest.mark.parametrize("number", range(len(CODES)))
def test_a_tag_has_the_bits_that_its_family_publishes(number: int) -> None:
    # OpenCV's dictionary holds every tag of the family upside down; the sheets are drawn and read with it.
    np.testing.assert_array_equal(np.rot90(tag_bits(number), 2), published_bits(CODES[number]))


def test_every_tag_of_a_shipped_layout_is_among_those_checked() -> None:
    assert all(tag.number < len(CODES) for layout in load_layouts() for tag in layout.tags)


def test_the_family_has_587_tags_at_least_11_bits_apart_however_they_are_turned() -> None:
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    assert TAG_COUNT == len(dictionary.bytesList) == 587
    tags = np.stack([tag_bits(number)[1:-1, 1:-1] for number in range(TAG_COUNT)]).astype(np.int32)
    upright = tags.reshape(TAG_COUNT, -1)
    for turns in range(4):
        turned = np.rot90(tags, turns, axes=(1, 2)).reshape(TAG_COUNT, -1)
        apart = upright @ (1 - turned).T + (1 - upright) @ turned.T
        if turns == 0:
            np.fill_diagonal(apart, 36)
        assert apart.min() >= 11


def test_a_tag_is_black_all_around_its_code() -> None:
    bits = tag_bits(17)
    assert not bits[[0, -1]].any()
    assert not bits[:, [0, -1]].any()


def test_corners_run_clockwise_from_the_top_left() -> None:
    layout = next(layout for layout in load_layouts() if layout.key == "card-a6")
    corners = tag_corners_mm(layout, layout.tags[1])
    np.testing.assert_allclose(corners, [[126, 4], [144, 4], [144, 22], [126, 22]])


@pytest.mark.parametrize("turns", range(4))
def test_a_found_tag_gives_its_own_top_left_corner_first_however_it_lies(turns: int) -> None:
    picture = np.full((300, 300), 220, np.uint8)
    picture[90:210, 90:210] = np.kron(tag_bits(5) * 220, np.ones((15, 15), np.uint8))
    (tag,) = find_tags(np.ascontiguousarray(np.rot90(picture, -turns)))
    assert tag.number == 5
    corners = np.array([[89.5, 89.5], [209.5, 89.5], [209.5, 209.5], [89.5, 209.5]])
    np.testing.assert_allclose(tag.corners_px, np.roll(corners, -turns, axis=0), atol=1.5)


def test_in_a_large_picture_tags_are_found_in_its_own_pixels() -> None:
    picture = np.full((2400, 3600), 220, np.uint8)
    picture[1800:2040, 3000:3240] = np.kron(tag_bits(9) * 220, np.ones((30, 30), np.uint8))
    corners = np.array([[2999.5, 1799.5], [3239.5, 1799.5], [3239.5, 2039.5], [2999.5, 2039.5]])
    for found in (find_tags(picture, shrink=4), find_tags(picture)):
        assert [tag.number for tag in found] == [9]
        np.testing.assert_allclose(found[0].corners_px, corners, atol=2.5)


def test_who_looks_for_some_numbers_finds_those_as_who_looks_for_all() -> None:
    picture = np.full((300, 900), 220, np.uint8)
    for at, number in enumerate((5, 583, 41)):
        picture[90:210, 90 + 300 * at : 210 + 300 * at] = np.kron(tag_bits(number) * 220, np.ones((15, 15), np.uint8))
    everything = {tag.number: tag.corners_px for tag in find_tags(picture)}
    some = {tag.number: tag.corners_px for tag in find_tags(picture, numbers=[583, 7, 5, 5])}
    assert (set(everything), set(some)) == ({5, 41, 583}, {5, 583})
    for number, corners_px in some.items():
        np.testing.assert_array_equal(corners_px, everything[number])


def test_an_empty_picture_has_no_tags() -> None:
    assert find_tags(np.full((200, 300), 128, np.uint8)) == []
