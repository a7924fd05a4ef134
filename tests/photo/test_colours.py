"""One colour in Display P3, Rec. 2020 and sRGB comes out as one sRGB colour, whatever the format and the depth."""

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import colour
import numpy as np
import pytest
from PIL import Image, ImageCms
from skimage.color import deltaE_ciede2000, rgb2lab

from grader.arrays import FloatArray
from grader.photo import read_photo
from grader.photo.icc import read_profile
from grader.photo.profile import UNREADABLE, apply_profile
from grader.photo.rgb_space import (
    D65_XY,
    SRGB_PRIMARIES,
    adapted_to_d50,
    convert_to_srgb,
    is_srgb,
    primaries_to_xyz,
)

# Pale to dark fries, a grey, in 8-bit sRGB.
FRIES = np.array([[237, 201, 110], [230, 190, 100], [200, 140, 60], [150, 90, 40], [128, 128, 128]]) / 255
# Their CIELAB (D65, 2 degrees), as colour-science 0.4.7 gives it from IEC 61966-2-1.
FRIES_LAB = np.array(
    [
        [82.327, 1.798, 49.710],
        [78.793, 3.851, 50.177],
        [62.812, 15.277, 50.292],
        [44.161, 20.269, 38.232],
        [53.585, 0, 0],
    ]
)
# The real file's profile holds 2.2 as the nearest 256th (ICC u8Fixed8Number).
REC_2020_EXPONENT = 563 / 256
# CIE 2000; half an 8-bit step of Rec. 2020 in a dark fry is 0.7.
ROUNDING_OF_8_BITS = 0.8
ROUNDING_OF_16_BITS = 0.01


def _in_space(name: str, exponent: float | None) -> FloatArray:
    """The fries' colours encoded in another space, 0 to 1, by colour-science."""
    spaces = colour.RGB_COLOURSPACES
    linear = colour.RGB_to_RGB(colour.models.eotf_sRGB(FRIES), spaces["sRGB"], spaces[name], apply_cctf_decoding=False)
    encoded = colour.models.eotf_inverse_sRGB(linear) if exponent is None else linear ** (1 / exponent)
    return np.asarray(encoded, dtype=np.float64)


def _patches(encoded: FloatArray, dtype: type) -> Any:
    white = np.iinfo(dtype).max
    return np.rint(np.repeat(np.repeat(encoded[None], 600, axis=0), 130, axis=1) * white).astype(dtype)


def _labs(pixels: Any) -> FloatArray:
    middles = pixels[300, 65::130].astype(np.float64) / np.iinfo(pixels.dtype).max
    return np.asarray(rgb2lab(middles[None])[0])


@pytest.fixture(params=["display_p3", "rec_2020", "srgb_icc"])
def tagged(request: pytest.FixtureRequest) -> tuple[bytes, FloatArray]:
    """A profile, and the fries' colours in its space."""
    space = {
        "display_p3": ("Display P3", None),
        "rec_2020": ("ITU-R BT.2020", REC_2020_EXPONENT),
        "srgb_icc": ("sRGB", None),
    }
    return request.getfixturevalue(request.param), _in_space(*space[request.param])


def test_one_colour_in_three_spaces_is_one_lab_at_16_bits(
    tagged: tuple[bytes, FloatArray], make_deep_png: Callable[..., bytes]
) -> None:
    icc, encoded = tagged
    photo = read_photo(make_deep_png(_patches(encoded, np.uint16), icc=icc), name="deep.png")
    assert photo.pixels.dtype == np.uint16
    expected = rgb2lab(FRIES[None])[0]
    assert deltaE_ciede2000(_labs(photo.pixels), expected).max() < (
        # sRGB itself is left alone where its profile differs from it by less than an 8-bit level.
        ROUNDING_OF_8_BITS if "sRGB" in photo.source_profile else ROUNDING_OF_16_BITS
    )


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "WEBP"])
def test_one_colour_in_three_spaces_is_one_lab_at_8_bits(
    tagged: tuple[bytes, FloatArray], make_file: Callable[..., bytes], kind: str
) -> None:
    icc, encoded = tagged
    options = {"lossless": True} if kind == "WEBP" else {}
    photo = read_photo(make_file(kind, _patches(encoded, np.uint8), icc_profile=icc, **options), name="flat")
    assert photo.pixels.dtype == np.uint8
    assert deltaE_ciede2000(_labs(photo.pixels), FRIES_LAB).max() < ROUNDING_OF_8_BITS


def test_untagged_pixels_are_taken_as_srgb(make_file: Callable[..., bytes]) -> None:
    patches = _patches(FRIES, np.uint8)
    photo = read_photo(make_file("PNG", patches), name="plain.png")
    np.testing.assert_array_equal(photo.pixels, patches)
    assert photo.source_profile == "sRGB (untagged)"


@pytest.mark.parametrize(("code", "name"), [(12, "Display P3"), (9, "ITU-R BT.2020"), (1, "sRGB")])
def test_heif_code_points_stand_in_for_a_profile(make_file: Callable[..., bytes], code: int, name: str) -> None:
    patches = _patches(_in_space(name, None), np.uint8)
    data = make_file("HEIF", patches, color_primaries=code, transfer_characteristics=13, quality=-1)
    photo = read_photo(data, name="tagged.heic")
    # Rounded twice: as RGB and, inside the file, as luma and chroma.
    assert deltaE_ciede2000(_labs(photo.pixels), FRIES_LAB).max() < 2 * ROUNDING_OF_8_BITS


@pytest.mark.parametrize("name", ["P3-sRGB-blue.jpg", "R2020-sRGB-blue.jpg"])
def test_real_file_srgb_blue_in_wider_spaces(real: Path, name: str) -> None:
    # The field is sRGB's own blue; the lettering is the wider space's blue, which sRGB clips to the same.
    photo = read_photo((real / "wide_gamut" / name).read_bytes(), name=name)
    field = photo.pixels[20:200, 20:980].reshape(-1, 3).mean(axis=0)
    np.testing.assert_allclose(field, [0, 0, 255], atol=4)


def test_real_file_with_swapped_primaries_shows_red_on_top(real: Path) -> None:
    photo = read_photo((real / "wide_gamut" / "rgb-to-gbr-test.jpg").read_bytes(), name="gbr")
    # Middle of the top edge, where the file's own lettering says RED; it is stored as blue.
    red, green, blue = photo.pixels[5, 500].astype(int)
    assert red > 240
    assert green < 30
    assert blue < 30
    assert photo.source_profile == "RGB-to-GBR"


def _by_littlecms(pixels: Any, icc: bytes) -> Any:
    converted = ImageCms.profileToProfile(
        Image.fromarray(pixels),
        ImageCms.ImageCmsProfile(io.BytesIO(icc)),
        ImageCms.createProfile("sRGB"),
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        flags=ImageCms.Flags.NOOPTIMIZE,
    )
    return np.asarray(converted)


def test_both_depths_agree_with_littlecms(tagged: tuple[bytes, FloatArray]) -> None:
    icc, _ = tagged
    pixels = np.random.default_rng(3).integers(0, 256, (200, 200, 3)).astype(np.uint8)
    reference = _by_littlecms(pixels, icc).astype(int)
    eight, _ = apply_profile(pixels, icc)
    sixteen, _ = apply_profile(pixels.astype(np.uint16) * np.uint16(257), icc)
    assert np.abs(eight.astype(int) - reference).max() <= 1
    assert np.abs(sixteen / 257 - reference).max() <= 1.1
    # Most levels are the same, so that the limit of one is rounding and no shift.
    assert np.mean(eight == reference) > 0.9


def test_srgb_matrix_agrees_with_littlecms_profile(srgb_icc: bytes) -> None:
    profile = ImageCms.ImageCmsProfile(io.BytesIO(srgb_icc)).profile
    colourants = (profile.red_colorant, profile.green_colorant, profile.blue_colorant)
    columns = [colourant[0] for colourant in colourants if colourant is not None]
    own = adapted_to_d50(primaries_to_xyz(SRGB_PRIMARIES, D65_XY))
    np.testing.assert_allclose(own, np.array(columns).T, atol=3e-4)


def test_srgb_matrix_agrees_with_the_standard() -> None:
    published = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]  # IEC 61966-2-1
    np.testing.assert_allclose(primaries_to_xyz(SRGB_PRIMARIES, D65_XY), published, atol=6e-5)


def test_srgb_profile_leaves_pixels_alone_and_others_do_not(srgb_icc: bytes, display_p3: bytes) -> None:
    pixels = np.full((4, 4, 3), [200, 140, 60], np.uint8)
    srgb, p3 = read_profile(srgb_icc).space, read_profile(display_p3).space
    assert srgb is not None
    assert p3 is not None
    assert is_srgb(srgb)
    assert convert_to_srgb(pixels, srgb) is pixels
    assert not is_srgb(p3)


def test_names_of_profiles(display_p3: bytes, rec_2020: bytes) -> None:
    assert read_profile(display_p3).name == "Display P3"
    assert read_profile(rec_2020).name == "R2020-D65-2_2-Gamma"


def test_damaged_profile_is_left_out_and_said_so(make_file: Callable[..., bytes], display_p3: bytes) -> None:
    patches = _patches(FRIES, np.uint8)
    for icc in (b"nonsense" * 40, display_p3[:200], display_p3[:128] + b"\xff" * 400):
        photo = read_photo(make_file("PNG", patches, icc_profile=icc), name="odd.png")
        assert photo.source_profile == UNREADABLE
        np.testing.assert_array_equal(photo.pixels, patches)
