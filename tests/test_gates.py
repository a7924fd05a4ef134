"""What makes colours doubtful or hopeless, through the whole pipeline: told or refused, and for the right reason."""

from io import BytesIO

import cv2
import numpy as np
from PIL import ExifTags, Image

from grader.arrays import ByteArray
from grader.card import find_sheet, load_layouts
from grader.card.plane import sheet_to_pixels
from grader.colour import D65, WHITE_POINTS, ciede2000, linear_srgb_to_xyz, xyz_to_linear_srgb
from grader.grading import GradedPhoto, grade_photo
from grader.photo import linear_light
from grader.standard import load_shipped
from tests.fries.photographs import file_of, picture
from tests.fries.solids import encoded

STANDARD = load_shipped()["strips-9.5mm-skin-on"]


def grade(data: bytes) -> GradedPhoto:
    return grade_photo(data, name="a photo", standard=STANDARD)


def codes(graded: GradedPhoto) -> list[str]:
    assert all(reason.message and reason.hint for reason in graded.reasons)
    return [reason.code for reason in graded.reasons]


def in_a_lamp(strength: float) -> ByteArray:
    """The fries in the warm pool of a heat lamp, the card in daylight; the pool ends softly between them."""
    light = np.array(linear_light(picture()), float)
    x = np.arange(light.shape[1]) / light.shape[1]
    share = strength / (1 + np.exp(-(x - 0.52) / 0.05))
    warm = xyz_to_linear_srgb(linear_srgb_to_xyz(np.ones(3)) * WHITE_POINTS["A"] / D65)
    return encoded(light * (1 - share[:, None] + share[:, None] * warm), noise=0.0)


def test_fries_in_a_heat_lamp_beside_a_card_in_daylight_are_told_and_soon_refused() -> None:
    weak = grade(file_of(in_a_lamp(0.15)))
    assert not weak.refused
    assert codes(weak) == ["light_mixed"]
    assert "Carry plate and card out of the heat lamp" in weak.reasons[0].hint
    strong = grade(file_of(in_a_lamp(0.6)))
    assert strong.refused
    assert codes(strong) == ["light_mixed"]


def test_a_flash_is_told_with_the_result() -> None:
    place, exif = BytesIO(), Image.Exif()
    exif.get_ifd(ExifTags.IFD.Exif).update({ExifTags.Base.Flash: 0x19, ExifTags.Base.FocalLengthIn35mmFilm: 26})
    Image.fromarray(picture()).save(place, "JPEG", quality=95, subsampling=0, exif=exif)
    lit = grade(place.getvalue())
    assert not lit.refused
    assert codes(lit) == ["flash"]


def test_a_stained_patch_is_named_and_the_fries_are_measured_by_the_others() -> None:
    light = np.array(linear_light(picture()), float)
    sheet = find_sheet(picture(), load_layouts(), focal_35mm=26)
    area = sheet.layout.patches[8].area
    corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * [area.width_mm, area.height_mm] + [area.x_mm, area.y_mm]
    mark = np.zeros(light.shape[:2], np.uint8)
    cv2.fillConvexPoly(mark, np.rint(sheet_to_pixels(sheet, corners)).astype(np.int32), 1)
    light[mark > 0] *= [0.75, 0.7, 0.5]
    stained = grade(file_of(encoded(light, noise=0.0)))
    assert codes(stained) == ["patch_faded"]
    assert "number 9" in stained.reasons[0].message
    clean = grade(file_of(encoded(np.array(linear_light(picture()), float), noise=0.0)))
    assert clean.plate is not None
    assert stained.plate is not None
    by_place = [
        sorted(plate.fries, key=lambda fry: tuple(fry.outline_px.mean(axis=0)))
        for plate in (stained.plate, clean.plate)
    ]
    for fry, same in zip(*by_place, strict=True):
        assert fry.colour is not None
        assert same.colour is not None
        assert ciede2000(fry.colour.lab, same.colour.lab) < 0.5


def test_a_hand_s_shadow_across_the_card_is_refused() -> None:
    light = np.array(linear_light(picture()), float)
    rows = np.arange(light.shape[0]) / light.shape[0]
    light *= (1 - 0.5 / (1 + np.exp(-(rows - 0.5) / 0.01)))[:, None, None]
    shaded = grade(file_of(encoded(light, noise=0.0)))
    assert shaded.refused
    assert codes(shaded)[0] in {"light_uneven", "card_glare"}


def test_greys_that_part_on_a_card_that_nobody_measured_are_told_with_the_remedy_and_refuse_nothing() -> None:
    """Light and dark parts evened by tiles: so much that a measured card would be refused for it."""
    lab = cv2.cvtColor(picture(), cv2.COLOR_RGB2Lab)
    evened = cv2.createCLAHE(2.0, (6, 6)).apply(lab[..., 0])
    lab[..., 0] = cv2.addWeighted(lab[..., 0], 0.5, evened, 0.5, 0)
    graded = grade(file_of(np.asarray(cv2.cvtColor(lab, cv2.COLOR_Lab2RGB), np.uint8)))
    assert not graded.refused
    told = next(reason for reason in graded.reasons if reason.code == "tone_local")
    assert "no measured colours are known of it" in told.message
    assert "card-values from-chart" in told.hint
