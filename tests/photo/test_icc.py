"""Profiles written here byte by byte after ICC.1:2022, read by this program and by littlecms alike."""

import io
import struct
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageCms
from skimage.color import lab2rgb

from grader.arrays import ByteArray
from grader.photo import read_photo
from grader.photo.cicp import space_of_code_points
from grader.photo.icc import read_profile
from grader.photo.profile import UNREADABLE, apply_profile
from grader.photo.rgb_space import SRGB

# Display P3's primaries brought to D50, as phones write them.
P3 = {b"rXYZ": (0.51512, 0.2412, -0.00105), b"gXYZ": (0.29198, 0.69225, 0.04189), b"bXYZ": (0.1571, 0.06657, 0.78407)}


def _fixed(*values: float) -> bytes:
    return struct.pack(f">{len(values)}i", *(round(value * 65536) for value in values))


def _profile(tags: dict[bytes, bytes], *, model: bytes = b"RGB ", kind: bytes = b"mntr", pcs: bytes = b"XYZ ") -> bytes:
    tags = {b"desc": b"desc\0\0\0\0" + struct.pack(">I", 5) + b"made\0", b"wtpt": _xyz(0.9642, 1, 0.8249)} | tags
    offset, table, body = 132 + 12 * len(tags), b"", b""
    for key, tag in tags.items():
        padded = tag + bytes(-len(tag) % 4)
        table += struct.pack(">4sII", key, offset + len(body), len(tag))
        body += padded
    head = struct.pack(">II", offset + len(body), 0) + struct.pack(">I", 0x02400000) + kind + model + pcs
    head += bytes(12) + b"acsp" + bytes(28) + _fixed(0.9642, 1, 0.8249)
    return head.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + body


def _xyz(*values: float) -> bytes:
    return b"XYZ \0\0\0\0" + _fixed(*values)


def _curve(*entries: int) -> bytes:
    return b"curv\0\0\0\0" + struct.pack(f">I{len(entries)}H", len(entries), *entries)


def _parametric(kind: int, *values: float) -> bytes:
    return b"para\0\0\0\0" + struct.pack(">HH", kind, 0) + _fixed(*values)


def _rgb_profile(curve: bytes) -> bytes:
    return _profile(
        {key: _xyz(*value) for key, value in P3.items()} | dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), curve)
    )


def _table(channels: int) -> bytes:
    """A `lut16Type` (10.10) with two grid points a channel: L* falls evenly from 100 to 0 with the sum of the inks, or
    rises with the sum of the lights; no colour."""
    levels = np.array(np.meshgrid(*[[0, 1]] * channels, indexing="ij")).reshape(channels, -1).mean(axis=0)
    lightness = 1 - np.minimum(levels * channels, 1) if channels == 4 else levels
    grid = np.stack([lightness * 0xFF00, np.full(lightness.size, 0x8000), np.full(lightness.size, 0x8000)], axis=-1)
    ramp = struct.pack(">2H", 0, 65535)
    head = b"mft2\0\0\0\0" + bytes([channels, 3, 2, 0]) + _fixed(1, 0, 0, 0, 1, 0, 0, 0, 1) + struct.pack(">HH", 2, 2)
    return head + ramp * channels + grid.astype(">u2").tobytes() + ramp * 3


CURVES = {
    "identity": _curve(),
    "exponent": _curve(round(1.8 * 256)),
    "table": _curve(*(round((i / 63) ** 2 * 65535) for i in range(64))),
    "parametric 0": _parametric(0, 2.2),
    "parametric 1": _parametric(1, 2.2, 0.95, 0.05),
    "parametric 2": _parametric(2, 2.2, 0.93, 0.05, 0.01),
    "parametric 3": _parametric(3, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045),
    "parametric 4": _parametric(4, 2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045, 0, 0),
}


@pytest.mark.parametrize("name", CURVES)
def test_every_kind_of_tone_curve_agrees_with_littlecms(name: str) -> None:
    icc = _rgb_profile(CURVES[name])
    pixels = np.random.default_rng(2).integers(0, 256, (64, 64, 3)).astype(np.uint8)
    reference = ImageCms.profileToProfile(
        Image.fromarray(pixels),
        ImageCms.ImageCmsProfile(io.BytesIO(icc)),
        ImageCms.createProfile("sRGB"),
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        flags=ImageCms.Flags.NOOPTIMIZE,
    )
    converted, profile = apply_profile(pixels, icc)
    assert profile == "made"
    assert np.abs(converted.astype(int) - np.asarray(reference)).max() <= 1


@pytest.mark.parametrize(
    "curve",
    [
        b"para\0\0\0\0\0\x09\0\0" + bytes(40),
        b"what\0\0\0\0" + bytes(40),
        _curve(65535, 0),
        _curve(0, 0, 0),
        _parametric(1, 2.2, 0, 0),
        b"curv\0\0\0\0\xff\xff\xff\xff",
        b"",
    ],
)
def test_a_senseless_curve_is_refused(curve: bytes) -> None:
    with pytest.raises(ValueError, match=r"tone curve|damaged|buffer"):
        read_profile(_rgb_profile(curve))


def test_senseless_primaries_are_refused() -> None:
    dark = _profile(dict.fromkeys(P3, _xyz(0.1, 0.1, 0.1)) | dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), _curve()))
    with pytest.raises(ValueError, match="no white"):
        read_profile(dark)
    no_xyz = _profile(dict.fromkeys(P3, _curve(1, 2, 3)) | dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), _curve()))
    with pytest.raises(ValueError, match="XYZ"):
        read_profile(no_xyz)


def test_too_many_tags_are_refused() -> None:
    icc = bytearray(_rgb_profile(_curve()))
    icc[128:132] = b"\0\0\xff\xff"
    with pytest.raises(ValueError, match="too many"):
        read_profile(bytes(icc))


def test_a_profile_may_be_nameless() -> None:
    assert read_profile(_profile({b"desc": b"odd "}, model=b"CMYK")).name == "unnamed"


def test_a_grey_profile(scene: ByteArray) -> None:
    icc = _profile({b"kTRC": _curve(256)}, model=b"GRAY")  # linear
    grey = np.repeat(scene[..., :1], 3, axis=2)
    converted, name = apply_profile(grey, icc)
    assert name == "made"
    # Linear 128/255 in sRGB is level 188: IEC 61966-2-1 (188 decodes to 0.50289).
    assert converted[grey == 128].tolist() == [188] * int((grey == 128).sum())
    assert apply_profile(scene, icc)[1] == UNREADABLE


def test_ink_tables_go_through_littlecms(scene: ByteArray) -> None:
    icc = _profile({b"A2B0": _table(4)}, model=b"CMYK", kind=b"prtr", pcs=b"Lab ")
    black = scene[..., 0]
    image = Image.merge("CMYK", [*[Image.fromarray(np.zeros_like(black))] * 3, Image.fromarray(black)])
    stream = io.BytesIO()
    image.save(stream, "TIFF", icc_profile=icc)
    photo = read_photo(stream.getvalue(), name="a")
    assert photo.source_profile == "made"
    expected = lab2rgb(np.stack([100 - black / 2.55, np.zeros(black.shape), np.zeros(black.shape)], axis=-1)) * 255
    assert np.abs(photo.pixels - expected).max() < 2


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_tables_of_lights_go_through_littlecms_at_8_bits(dtype: Any, scene: ByteArray) -> None:
    icc = _profile({b"A2B0": _table(3)}, pcs=b"Lab ")
    grey = np.repeat(scene[..., :1], 3, axis=2)
    pixels = grey.astype(dtype) * dtype(np.iinfo(dtype).max // 255)
    converted, name = apply_profile(pixels, icc)
    assert name == "made"
    assert converted.dtype == np.uint8
    lightness = grey[..., 0] / 2.55
    expected = lab2rgb(np.stack([lightness, 0 * lightness, 0 * lightness], axis=-1)) * 255
    assert np.abs(converted - expected).max() < 2


def test_tables_that_littlecms_can_not_use_are_left_out(scene: ByteArray) -> None:
    broken = _profile({b"A2B0": b"mft2" + bytes(30)}, pcs=b"Lab ")
    pixels, name = apply_profile(scene, broken)
    assert name == UNREADABLE
    np.testing.assert_array_equal(pixels, scene)


def test_a_profile_of_another_colour_model_is_left_out(scene: ByteArray, make_file: Callable[..., bytes]) -> None:
    icc = _profile({b"A2B0": _table(4)}, model=b"CMYK", kind=b"prtr", pcs=b"Lab ")
    assert read_photo(make_file("PNG", scene, icc_profile=icc), name="a").source_profile == UNREADABLE


def test_code_points() -> None:
    assert space_of_code_points(None) is None
    assert space_of_code_points({"color_primaries": 2, "transfer_characteristics": 2}) is None
    assert space_of_code_points({"color_primaries": 12}) is None
    assert space_of_code_points({"color_primaries": 1, "transfer_characteristics": 13}) is SRGB
    # ITU-T H.273, table 3: code 8 is linear, code 4 the exponent 2.2.
    for code, expected in ((8, 0.5), (4, 0.5**2.2)):
        space = space_of_code_points({"color_primaries": 9, "transfer_characteristics": code})
        assert space is not None
        assert space.curves[0](np.array([0.5]))[0] == pytest.approx(expected)
        np.testing.assert_allclose(space.to_srgb.sum(axis=1), 1, atol=1e-9)
