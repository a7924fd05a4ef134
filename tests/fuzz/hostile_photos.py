"""Photos made to harm whoever opens them: bombs, lying headers, files that are two things at once."""

import io
import struct
import zlib
from collections.abc import Callable, Iterator
from random import Random

import numpy as np
from PIL import Image

from tests.fuzz.photo_targets import deep_png, exif_block, picture, saved
from tests.fuzz.structures import jpeg_segments, png_file

HUGE = (65_000, 65_000)


def with_segments(jpeg: bytes, *segments: tuple[int, bytes]) -> bytes:
    """A JPEG with segments put in at its beginning, each a marker's second byte and a body."""
    put = b"".join(bytes((0xFF, marker)) + struct.pack(">H", len(body) + 2) + body for marker, body in segments)
    return jpeg[:2] + put + jpeg[2:]


def resized_header(data: bytes, size: tuple[int, int]) -> bytes:
    """The same file whose header says another size, width and height."""
    out = bytearray(data)
    if data.startswith(b"\x89PNG"):
        out[16:24] = struct.pack(">II", *size)
        out[29:33] = struct.pack(">I", zlib.crc32(bytes(out[12:29])))
    elif data.startswith(b"\xff\xd8"):
        segments, _ = jpeg_segments(data)
        at = 2
        for one in segments:
            if one[1] in (0xC0, 0xC1, 0xC2):
                out[at + 5 : at + 9] = struct.pack(">HH", size[1], size[0])
            at += len(one)
    elif data[4:8] == b"ftyp":
        at = data.find(b"ispe")
        while at >= 0:
            out[at + 8 : at + 16] = struct.pack(">II", *size)
            at = data.find(b"ispe", at + 4)
    else:  # TIFF, little-endian, as Pillow writes it
        (first,) = struct.unpack_from("<I", data, 4)
        (count,) = struct.unpack_from("<H", data, first)
        for entry in range(first + 2, first + 2 + 12 * count, 12):
            (tag,) = struct.unpack_from("<H", data, entry)
            if tag in (0x100, 0x101):
                out[entry + 2 : entry + 12] = struct.pack("<HII", 4, 1, size[tag - 0x100])
    return bytes(out)


def tiff_block(entries: list[tuple[int, int, int, int]], *, next_at: int = 0, tail: bytes = b"") -> bytes:
    """An Exif block, big-endian, of entries: tag, kind, count, value or place; then where the next table lies."""
    table = b"".join(struct.pack(">HHII", *entry) for entry in entries)
    return b"Exif\0\0MM\0*\0\0\0\x08" + struct.pack(">H", len(entries)) + table + struct.pack(">I", next_at) + tail


def dated(moment: str, offset: str = "+00:00") -> bytes:
    """An Exif block with the moment at which the photo was taken."""
    exif = Image.Exif()
    exif[0x8769] = {0x9003: moment, 0x9011: offset}
    return exif.tobytes()


LYING_EXIF = {
    "orientation 99": tiff_block([(0x112, 3, 1, 99 << 16)]),
    "orientation as text": tiff_block([(0x112, 2, 4, 0x36363600)]),
    "a count of 4 billion": tiff_block([(0x10F, 2, 0xFFFFFFFF, 8)]),
    "a place outside": tiff_block([(0x10F, 2, 64, 0xFFFFFF00)]),
    "a table within itself": tiff_block([(0x8769, 4, 1, 8)], next_at=8),
    "65535 entries and no more": b"Exif\0\0MM\0*\0\0\0\x08\xff\xff",
    "a small picture larger than the photo": tiff_block(
        [(0x201, 4, 1, 26), (0x202, 4, 1, 0x7FFFFFFF)], next_at=14, tail=b"\xff\xd8\xff"
    ),
    "numbers over nothing": tiff_block([(0x11A, 5, 1, 30)], tail=struct.pack(">II", 1, 0) * 4),
    "the year 0": dated("0000:00:00 00:00:00"),
    "the year 1, east of the date line": dated("0001:01:01 00:00:00", "+14:00"),
    "the last second that there is": dated("9999:12:31 23:59:59", "-14:00"),
    "a time without sense": dated("2026:13:45 99:99:99", "+99:99"),
    "200 kB of nothing": b"Exif\0\0" + bytes(60_000),
}


def nonsense_profiles() -> Iterator[tuple[str, bytes]]:
    """ICC profiles that say what can't be."""
    from PIL import ImageCms

    good = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    many, far, curve, size, lab = (bytearray(good) for _ in range(5))
    struct.pack_into(">I", many, 128, 0xFFFFFFFF)
    struct.pack_into(">II", far, 136, 0xFFFFFFF0, 0xFFFFFFF0)
    at = curve.find(b"para")
    curve[at : at + 12] = b"curv\0\0\0\0\xff\xff\xff\xff"
    struct.pack_into(">I", size, 0, 0xFFFFFFFF)
    lab[12:24] = b"linkCMYKLab "
    yield from (("4 billion tags", bytes(many)), ("a tag outside", bytes(far)), ("an endless curve", bytes(curve)))
    yield from (("a size of 4 GB", bytes(size)), ("of another kind", bytes(lab)), ("empty", b"\0" * 200))
    yield "drawn bytes", bytes(good[:128]) + Random(1).randbytes(4000)  # noqa: S311


def profile_bomb() -> bytes:
    """A PNG whose packed colour profile unpacks to 300 MB."""
    header = struct.pack(">IIBBBBB", 40, 32, 8, 2, 0, 0, 0)
    packed = zlib.compressobj(9)
    body = b"".join(packed.compress(bytes(10**6)) for _ in range(300)) + packed.flush()
    pixels = zlib.compress(bytes((1 + 3 * 40) * 32))
    return png_file([(b"IHDR", header), (b"iCCP", b"a\0\0" + body), (b"IDAT", pixels), (b"IEND", b"")])


def text_bomb() -> bytes:
    """A PNG with a hundred packed texts of 10 MB each."""
    header, pixels = struct.pack(">IIBBBBB", 40, 32, 8, 2, 0, 0, 0), zlib.compress(bytes((1 + 3 * 40) * 32))
    texts = [(b"zTXt", b"a\0\0" + zlib.compress(bytes(10**7), 9))] * 100
    return png_file([(b"IHDR", header), *texts, (b"IDAT", pixels), (b"IEND", b"")])


def scans_bomb() -> bytes:
    """A progressive JPEG whose last scan comes 20 000 times: 0.3 MB to send, 40 s to decode."""
    data = saved(picture((2000, 1500)), "JPEG", progressive=True, quality=20)
    last = data.rfind(b"\xff\xda")
    return data[:-2] + data[last:-2] * 20_000 + b"\xff\xd9"


def built_of_many(parts: int = 200_000) -> dict[str, bytes]:
    """Photos with so many empty or tiny parts put in."""
    photo, png = saved(picture((640, 600)), "JPEG"), saved(picture((640, 600)), "PNG")
    jpegs = {
        "segments": b"\xff\xe5\0\2",
        "remarks": b"\xff\xfe\0\2",
        "Exif blocks": b"\xff\xe1\0\x0aExif\0\0II",
        "profiles": b"\xff\xe2\0\x10ICC_PROFILE\0\1\1",
        "bytes to fill in": b"\xff" * 20,
        "stray bytes": b"\0\xff\xe5\0\2",
    }
    chunk = {kind: bytes(4) + kind + struct.pack(">I", zlib.crc32(kind)) for kind in (b"tEXt", b"abCd", b"IDAT")}
    return {
        **{name: photo[:20] + part * parts + photo[20:] for name, part in jpegs.items()},
        **{f"chunks {kind.decode()}": png[:33] + one * parts + png[33:] for kind, one in chunk.items()},
        "pages": _pages(parts // 40),
    }


def _pages(count: int) -> bytes:
    """A TIFF with so many tables, each of which tells the same picture to be a small version of another."""
    tags = ((0xFE, 1), (0x100, 640), (0x101, 600), (0x102, 8), (0x103, 1), (0x106, 1), (0x111, 8), (0x116, 600))
    body = b"".join(struct.pack("<HHII", tag, 4, 1, value) for tag, value in (*tags, (0x117, 384_000)))
    size, first = len(body) + 6, body.replace(struct.pack("<HHII", 0xFE, 4, 1, 1), struct.pack("<HHII", 0xFE, 4, 1, 0))
    tables = (
        struct.pack("<H", len(tags) + 1)
        + (body if turn else first)
        + struct.pack("<I", 8 + size * (turn + 1) if turn < count - 1 else 0)
        for turn in range(count)
    )
    return b"II*\0" + struct.pack("<I", 8) + b"".join(tables) + bytes(384_000)


def moving(kind: str) -> bytes:
    """An animation of two pictures."""
    frames = [picture((640, 600)), picture((640, 600)).rotate(180)]
    stream = io.BytesIO()
    frames[0].save(stream, kind, save_all=True, append_images=frames[1:], duration=100, loop=0)
    return stream.getvalue()


def two_at_once() -> dict[str, bytes]:
    """Files that other programs take for something else, and are whole photos at the same time."""
    import zipfile

    photo, archive = saved(picture((640, 600)), "JPEG", exif=exif_block()), io.BytesIO()
    with zipfile.ZipFile(archive, "w") as packed:
        packed.writestr("run.sh", "echo no")
    pdf = (
        b"%PDF-1.4\n1 0 obj<</Type/Catalog/OpenAction<</S/JavaScript/JS(app.alert(1))>>>>endobj\ntrailer<</Root 1 0 R>>"
    )
    return {
        "a zip behind": photo + archive.getvalue(),
        "a PDF in a remark": with_segments(photo, (0xFE, pdf)),
        "a page in a remark": with_segments(photo, (0xFE, b"<script>alert(1)</script>")),
        "another photo behind": photo + saved(picture((900, 700)), "JPEG"),
    }


def mismatched_heif(said: tuple[int, int], coded: tuple[int, int]) -> bytes:
    """A HEIF file whose header says another size than its picture is coded in."""
    return resized_header(saved(Image.fromarray(np.full((coded[1], coded[0], 3), 99, np.uint8)), "HEIF"), said)


WHOLE: dict[str, Callable[[], bytes]] = {
    "JPEG": lambda: saved(picture((640, 600)), "JPEG", exif=exif_block()),
    "PNG": lambda: saved(picture((640, 600)), "PNG"),
    "PNG, 16 bits": deep_png,
    "TIFF": lambda: saved(picture((640, 600)), "TIFF", compression="tiff_lzw"),
    "WEBP": lambda: saved(picture((640, 600)), "WEBP"),
    "HEIF": lambda: saved(picture((640, 600)), "HEIF", exif=exif_block()),
}
"""A photo of each kind."""
