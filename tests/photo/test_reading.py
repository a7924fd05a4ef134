import hashlib
import io
import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import tifffile
from PIL import Image

import grader.photo.reading
from grader.arrays import ByteArray
from grader.errors import PhotoRefused, PhotoUnreadable
from grader.photo import read_photo
from grader.photo.heif_files import _full_range
from grader.photo.refusals import MAX_BYTES

ALL_KINDS = ["JPEG", "PNG", "TIFF", "WEBP", "HEIF"]
NO_LOSS: dict[str, dict[str, Any]] = {
    "JPEG": {"quality": 100, "subsampling": 0},
    "WEBP": {"lossless": True},
    "HEIF": {"quality": -1},
}


def _code(data: bytes) -> str:
    with pytest.raises(PhotoUnreadable) as caught:
        read_photo(data, name="photo")
    assert caught.value.message
    assert caught.value.hint
    assert "{" not in str(caught.value)
    return caught.value.code


@pytest.mark.parametrize("kind", ALL_KINDS)
def test_every_format_is_known_by_its_bytes(scene: ByteArray, make_file: Callable[..., bytes], kind: str) -> None:
    data = make_file(kind, scene, **NO_LOSS.get(kind, {}))
    photo = read_photo(data, name="holiday.exe")
    assert photo.file_format == kind
    assert photo.name == "holiday.exe"
    assert photo.sha256 == hashlib.sha256(data).hexdigest()
    assert photo.size_px == (640, 600)
    assert photo.pixels.dtype == np.uint8
    assert np.abs(photo.pixels.astype(int) - scene).max() <= 4


def test_pixels_are_read_only(scene: ByteArray, make_file: Callable[..., bytes]) -> None:
    photo = read_photo(make_file("PNG", scene), name="a")
    with pytest.raises(ValueError, match="read-only"):
        photo.pixels[0] = 0


def test_jpeg_is_decoded_as_opencv_does(real: Path) -> None:
    data = (real / "orientation" / "Portrait_1.jpg").read_bytes()
    by_opencv = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR_RGB)
    assert by_opencv is not None
    assert np.abs(read_photo(data, name="a").pixels.astype(int) - by_opencv).max() <= 1


def test_real_phone_file(real: Path) -> None:
    photo = read_photo((real / "heic" / "phone_4032x3024.heic").read_bytes(), name="IMG.HEIC")
    assert photo.size_px == (4032, 3024)
    assert photo.file_format == "HEIF"
    assert photo.source_profile == "Display P3"
    assert photo.focal_35mm == 26
    assert photo.taken_at == "2023-02-21T14:33:08+03:00"


@pytest.mark.parametrize(("name", "code"), [("corrupted.heic", "truncated"), ("empty.heic", "empty")])
def test_real_broken_files_are_refused(real: Path, name: str, code: str) -> None:
    assert _code((real / "heic" / name).read_bytes()) == code


def test_real_heif_at_8_and_10_bits_agree(real: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(grader.photo.refusals, "MIN_SHORTER_SIDE_PX", 100)
    eight = read_photo((real / "heic" / "rgb_8_bit_128x128.heif").read_bytes(), name="8").pixels
    ten = read_photo((real / "heic" / "rgb_10_bit_128x128.heif").read_bytes(), name="10").pixels
    assert eight.dtype.itemsize == 1
    assert ten.dtype.itemsize == 2
    # Two lossy files of one ramp of colours, stored with rows and columns exchanged.
    assert np.abs(ten.transpose(1, 0, 2) / 257 - eight).mean() < 2


def test_ten_bits_reach_full_white() -> None:
    assert _full_range(np.array([1023 << 6, 0], np.uint16), 10).tolist() == [65535, 0]
    assert _full_range(np.array([4095 << 4], np.uint16), 12).tolist() == [65535]


# --- grey, palette, alpha, inks ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("mode", ["L", "1", "P", "LA", "RGBA"])
def test_other_kinds_of_pixels_become_rgb(scene: ByteArray, mode: str) -> None:
    image = Image.fromarray(scene).convert(mode)
    stream = io.BytesIO()
    image.save(stream, "PNG")
    np.testing.assert_array_equal(read_photo(stream.getvalue(), name="a").pixels, np.asarray(image.convert("RGB")))


def test_transparency_shows_white_paper(scene: ByteArray, make_file: Callable[..., bytes]) -> None:
    alpha = np.full((600, 640, 1), 255, np.uint8)
    alpha[:300] = 0
    alpha[300:310] = 128
    pixels = read_photo(make_file("PNG", np.concatenate([scene, alpha], axis=2)), name="a").pixels
    assert (pixels[:300] == 255).all()
    np.testing.assert_array_equal(pixels[310:], scene[310:])
    np.testing.assert_allclose(pixels[305], 255 - (255 - scene[305].astype(float)) * 128 / 255, atol=0.51)


def test_deep_transparency_and_deep_grey(make_deep_png: Callable[..., bytes]) -> None:
    deep = np.full((600, 640, 4), 40000, np.uint16)
    deep[..., 3] = 65535
    deep[0, 0, 3] = 0
    pixels = read_photo(make_deep_png(deep), name="a").pixels
    assert pixels[0, 0].tolist() == [65535] * 3
    assert pixels[1, 1].tolist() == [40000] * 3
    grey = read_photo(make_deep_png(deep[..., 0]), name="a").pixels
    assert grey.shape == (600, 640, 3)
    assert (grey == 40000).all()


def test_cmyk_without_a_profile_takes_the_complement_of_its_inks(scene: ByteArray) -> None:
    image = Image.fromarray(scene).convert("CMYK")
    stream = io.BytesIO()
    image.save(stream, "JPEG", quality=100, subsampling=0)
    photo = read_photo(stream.getvalue(), name="a")
    assert photo.source_profile == "CMYK (untagged)"
    assert np.abs(photo.pixels.astype(int) - scene).max() <= 4


def test_cmyk_with_a_profile_of_another_model_is_still_shown(scene: ByteArray, srgb_icc: bytes) -> None:
    stream = io.BytesIO()
    Image.fromarray(scene).convert("CMYK").save(stream, "JPEG", icc_profile=srgb_icc)
    assert "unusable" in read_photo(stream.getvalue(), name="a").source_profile


def test_pixels_of_no_photograph_are_refused() -> None:
    stream = io.BytesIO()
    Image.fromarray(np.zeros((600, 640), np.float32)).save(stream, "TIFF")
    assert _code(stream.getvalue()) == "not_an_image"


# --- refusals ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "empty"),
        (b"hello, I am a letter", "not_an_image"),
        (b"%PDF-1.7 and so on", "not_an_image"),
        (b"GIF89a" + bytes(50), "not_an_image"),
        (b"\0\0\0\x18ftypisom\0\0\0\0isommp42" + bytes(50), "not_an_image"),
        (b"\0\0\0\x18ftypavif\0\0\0\0avifmif1" + bytes(50), "not_an_image"),
        (b"\0\0\0\x18ftyphevc\0\0\0\0msf1hevc" + bytes(50), "animated"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + bytes(50), "truncated"),
        (b"\xff\xd8\xff\xe0" + bytes(100), "truncated"),
        (b"II*\0" + bytes(4), "truncated"),
    ],
)
def test_what_is_no_photograph_is_refused(data: bytes, code: str) -> None:
    assert _code(data) == code


@pytest.mark.parametrize("kind", ALL_KINDS)
@pytest.mark.parametrize("share", [0.3, 0.6, 0.9])
def test_what_breaks_off_is_refused(scene: ByteArray, make_file: Callable[..., bytes], kind: str, share: float) -> None:
    data = make_file(kind, scene)
    assert _code(data[: int(len(data) * share)]) == "truncated"


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_deep_pictures_that_break_off_are_refused(make_deep_png: Callable[..., bytes], kind: str) -> None:
    deep = np.random.default_rng(5).integers(0, 65536, (600, 640, 3)).astype(np.uint16)
    stream = io.BytesIO()
    tifffile.imwrite(stream, deep, photometric="rgb")
    data = make_deep_png(deep) if kind == "PNG" else stream.getvalue()
    assert read_photo(data, name="whole").pixels.dtype == np.uint16
    assert _code(data[: len(data) * 2 // 3]) == "truncated"


def test_a_deep_tiff_in_tiles(scene: ByteArray) -> None:
    deep = scene.astype(np.uint16) * np.uint16(257)
    stream = io.BytesIO()
    tifffile.imwrite(stream, deep, photometric="rgb", tile=(64, 64))
    np.testing.assert_array_equal(read_photo(stream.getvalue(), name="a").pixels, deep)
    assert _code(stream.getvalue()[:-5000]) == "truncated"


def test_a_deep_png_with_pixels_that_do_not_unpack(make_deep_png: Callable[..., bytes]) -> None:
    data = make_deep_png(np.full((600, 640, 3), 4000, np.uint16))
    start = data.index(b"IDAT")
    length = int.from_bytes(data[start - 4 : start], "big")
    nonsense = b"IDAT" + b"\x55" * length
    end = start + 4 + length
    data = data[:start] + nonsense + struct.pack(">I", zlib.crc32(nonsense)) + data[end + 4 :]
    assert _code(data) == "truncated"


@pytest.mark.parametrize("kind", ["PNG", "WEBP", "TIFF"])
def test_several_pictures_in_one_file_are_refused(scene: ByteArray, kind: str) -> None:
    frames = [Image.fromarray(scene), Image.fromarray(scene[::-1].copy())]
    stream = io.BytesIO()
    frames[0].save(stream, kind, save_all=True, append_images=frames[1:])
    assert _code(stream.getvalue()) == "animated"


def test_a_phone_jpeg_with_a_second_picture_inside_is_one_photo(scene: ByteArray) -> None:
    frames = [Image.fromarray(scene), Image.fromarray(scene[::-1].copy())]
    stream = io.BytesIO()
    frames[0].save(stream, "MPO", save_all=True, append_images=frames[1:])
    photo = read_photo(stream.getvalue(), name="a")
    assert photo.file_format == "JPEG"
    assert np.abs(photo.pixels.astype(int) - scene).mean() < 3


def test_a_tiff_with_a_small_version_of_itself_is_one_photo(scene: ByteArray) -> None:
    stream = io.BytesIO()
    with tifffile.TiffWriter(stream) as writer:
        writer.write(scene, photometric="rgb")
        writer.write(scene[::8, ::8].copy(), photometric="rgb", subfiletype=1)
    np.testing.assert_array_equal(read_photo(stream.getvalue(), name="a").pixels, scene)


def test_a_tiff_that_begins_with_a_preview_is_a_raw_file(scene: ByteArray) -> None:
    stream = io.BytesIO()
    with tifffile.TiffWriter(stream) as writer:
        writer.write(scene, photometric="rgb", subfiletype=1)
        writer.write(scene, photometric="rgb")
    assert _code(stream.getvalue()) == "not_an_image"


@pytest.mark.parametrize("kind", ALL_KINDS)
def test_too_small(scene: ByteArray, make_file: Callable[..., bytes], kind: str) -> None:
    assert _code(make_file(kind, scene[:599])) == "too_small"


@pytest.mark.parametrize("size", [(50_000, 50_000), (10_000, 9_000), (2_000_000_000, 700)])
def test_too_many_pixels_are_refused_by_the_header(
    scene: ByteArray, make_file: Callable[..., bytes], size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    data = bytearray(make_file("PNG", scene))
    data[16:24] = struct.pack(">II", *size)
    data[29:33] = struct.pack(">I", zlib.crc32(bytes(data[12:29])))
    monkeypatch.setattr(Image.Image, "load", lambda _: pytest.fail("decoded"))
    assert _code(bytes(data)) == "too_large"


def test_too_many_bytes() -> None:
    assert _code(b"\xff\xd8\xff" + bytes(MAX_BYTES)) == "too_large"


@pytest.mark.parametrize("error", [MemoryError(), Image.DecompressionBombError("bomb")])
def test_running_out_of_memory_is_too_large(
    scene: ByteArray, make_file: Callable[..., bytes], monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr(grader.photo.reading, "read_with_pillow", fail)
    assert _code(make_file("PNG", scene)) == "too_large"


def test_a_refusal_says_what_to_do() -> None:
    with pytest.raises(PhotoRefused, match="gallery"):
        read_photo(b"", name="a")


def test_high_dynamic_range_is_refused(scene: ByteArray, make_file: Callable[..., bytes]) -> None:
    data = make_file("HEIF", scene, color_primaries=9, transfer_characteristics=16)
    with pytest.raises(PhotoUnreadable, match="HDR") as caught:
        read_photo(data, name="a")
    assert caught.value.code == "not_an_image"
