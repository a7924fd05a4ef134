"""Ways to spoil picture files and zips that know how these are built, so that what is spoiled is read deep inside."""

import struct
import zlib
from collections.abc import Iterator
from random import Random

from tests.fuzz.mutating import BYTES, NUMBERS, Mutator

SIZES = (0, 1, 7, 8, 16, 599, 600, 1000, 8900, 65000, 65535)


def _inside(random: Random, body: bytes) -> bytes:
    return random.choice(BYTES)(random, body)


# --- JPEG (ITU-T T.81, annex B) ---


def jpeg_segments(data: bytes) -> tuple[list[bytes], bytes]:
    """The segments before the first scan, each with its marker and length, and the rest."""
    segments, at = [], 2
    while data[at : at + 1] == b"\xff" and data[at + 1 : at + 2] not in (b"\xda", b""):
        size = int.from_bytes(data[at + 2 : at + 4], "big") + 2
        segments.append(data[at : at + size])
        at += size
    return segments, data[at:]


def change_jpeg(random: Random, data: bytes) -> bytes:
    """A segment dropped, doubled, moved, emptied, of another length than it says, or changed inside."""
    segments, scan = jpeg_segments(data)
    if not segments:
        return data
    at = random.randrange(len(segments))
    one = segments[at]
    match random.randrange(7):
        case 0:
            del segments[at]
        case 1:
            segments[at:at] = [one] * random.choice((1, 1, 300))
        case 2:
            segments.insert(random.randrange(len(segments)), segments.pop(at))
        case 3:
            segments[at] = one[:2] + random.choice(NUMBERS[:17]).to_bytes(4, "big")[2:] + one[4:]
        case 4:
            body = _inside(random, one[4:])[:65_500]
            segments[at] = one[:2] + (len(body) + 2).to_bytes(2, "big") + body
        case 5:
            segments[at] = one[:1] + bytes([random.randrange(0xC0, 0x100)]) + one[2:]
        case _:
            scan = scan[:12] + _inside(random, scan[12:])
    return b"\xff\xd8" + b"".join(segments) + scan


def change_jpeg_frame(random: Random, data: bytes) -> bytes:
    """Another size, depth, number of channels or sampling in the frame's header."""
    segments, scan = jpeg_segments(data)
    for at, one in enumerate(segments):
        if one[1] in range(0xC0, 0xC4) and len(one) >= 16:
            frame = bytearray(one)
            if random.random() < 0.6:
                struct.pack_into(">HH", frame, 5, random.choice(SIZES), random.choice(SIZES))
            else:
                frame[random.choice((4, 9, 10, 11, 12, len(frame) - 1))] = random.randrange(256)
            segments[at] = bytes(frame)
    return b"\xff\xd8" + b"".join(segments) + scan


# --- PNG (ISO/IEC 15948) ---


def _png_chunks(data: bytes) -> list[tuple[bytes, bytes]]:
    chunks, at = [], 8
    while at + 8 <= len(data):
        size = int.from_bytes(data[at : at + 4], "big")
        chunks.append((data[at + 4 : at + 8], data[at + 8 : at + 8 + size]))
        at += size + 12
    return chunks


def png_file(chunks: list[tuple[bytes, bytes]]) -> bytes:
    """A file of chunks, with true lengths and checks."""
    told = (
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body)) for kind, body in chunks
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(told)


def change_png(random: Random, data: bytes) -> bytes:
    """A chunk dropped, doubled, moved or changed inside, its check made right again; compressed ones inside as well."""
    chunks = _png_chunks(data)
    if not data.startswith(b"\x89PNG") or not chunks:
        return data
    at = random.randrange(len(chunks))
    kind, body = chunks[at]
    match random.randrange(6):
        case 0:
            del chunks[at]
        case 1:
            chunks[at:at] = [chunks[at]] * random.choice((1, 1, 500))
        case 2:
            chunks.insert(random.randrange(len(chunks)), chunks.pop(at))
        case 3 if kind == b"IHDR" or random.random() < 0.4:
            header = bytearray(chunks[0][1].ljust(13, b"\0"))
            if random.random() < 0.5:
                struct.pack_into(">II", header, 0, random.choice(SIZES), random.choice((*SIZES, 2**31 - 1)))
            else:
                header[random.randrange(8, 13)] = random.randrange(17)
            chunks[0] = (chunks[0][0], bytes(header))
        case _:
            chunks[at] = (kind, _deep(random, kind, body))
    return png_file(chunks)


def _deep(random: Random, kind: bytes, body: bytes) -> bytes:
    begins = body.find(b"\0") + 2 if kind == b"iCCP" else 0
    if kind in (b"iCCP", b"IDAT") and random.random() < 0.7:
        try:
            inner = zlib.decompress(body[begins:])
        except zlib.error:
            return _inside(random, body)
        changed = change_profile(random, inner) if kind == b"iCCP" else _inside(random, inner)
        return body[:begins] + zlib.compress(changed)
    return _inside(random, body)


# --- TIFF, and EXIF, which is one inside another file (TIFF 6.0; Exif 3.0) ---

TAGS: tuple[int, ...] = (
    0x100, 0x101, 0x102, 0x103, 0x106, 0x111, 0x112, 0x115, 0x116, 0x117, 0x144, 0x145, 0x201, 0x202,
    0x8769, 0x8825,
    0x9003, 0x9011, 0x9209, 0xA405, 0xA005, 0x927C, 0x14A, 0xFE, 0x8773,
)  # fmt: skip


def _tiff_heads(data: bytes) -> list[int]:
    heads: list[int] = []
    for mark in (b"II*\0", b"MM\0*"):
        at = data.find(mark)
        while at >= 0 and len(heads) < 10:
            heads.append(at)
            at = data.find(mark, at + 1)
    return heads


def change_tiff(random: Random, data: bytes) -> bytes:
    """An entry of a table of tags that says another tag, kind, count, place or value; or a table elsewhere."""
    heads = _tiff_heads(data)
    if not heads:
        return data
    head = random.choice(heads)
    end = "<" if data[head : head + 2] == b"II" else ">"
    out = bytearray(data)
    try:
        (first,) = struct.unpack_from(f"{end}I", out, head + 4)
        (count,) = struct.unpack_from(f"{end}H", out, head + first)
        at = head + first + 2 + 12 * random.randrange(max(count, 1))
        match random.randrange(6):
            case 0:
                struct.pack_into(f"{end}H", out, at, random.choice(TAGS))
            case 1:
                struct.pack_into(
                    f"{end}H", out, at + 2, random.choice((0, 1, 2, 3, 4, 5, 7, 9, 10, 11, 12, 13, 16, 99))
                )
            case 2:
                struct.pack_into(f"{end}I", out, at + 4, random.choice(NUMBERS))
            case 3:
                struct.pack_into(f"{end}I", out, at + 8, random.choice((*NUMBERS, first, len(data) - 1)))
            case 4:
                struct.pack_into(f"{end}H", out, head + first, random.choice((0, 1, count + 1, 999, 65535)))
            case _:
                place = random.choice((head + 4, head + first + 2 + 12 * count))
                struct.pack_into(f"{end}I", out, place, random.choice((*NUMBERS, first, first + 2)))
    except struct.error:
        return data
    return bytes(out)


# --- ICC profiles (ICC.1:2022) ---


def change_profile(random: Random, data: bytes) -> bytes:
    """A field of the header, an entry of the table of tags, or a tag's own bytes of the first profile in the file."""
    at = data.find(b"acsp") - 36
    if at < 0:
        return data
    out = bytearray(data)
    try:
        (count,) = struct.unpack_from(">I", out, at + 128)
        entry = at + 132 + 12 * random.randrange(max(min(count, 40), 1))
        _, begins, size = struct.unpack_from(">4sII", out, entry)
        match random.randrange(5):
            case 0:
                out[at + 12 : at + 24] = random.choice(
                    (b"mntrRGB XYZ ", b"prtrCMYKLab ", b"spacGRAYXYZ ", b"linkRGB RGB ", b"abstLab Lab ")
                )
            case 1:
                struct.pack_into(">I", out, at + random.choice((0, 8, 128)), random.choice(NUMBERS))
            case 2:
                struct.pack_into(">I", out, entry + random.choice((4, 8)), random.choice(NUMBERS))
            case 3:
                out[entry : entry + 4] = random.choice(
                    (b"rTRC", b"gTRC", b"rXYZ", b"A2B0", b"B2A0", b"wtpt", b"desc", b"chad", b"kTRC")
                )
            case _:
                inside = at + begins + random.randrange(max(min(size, 60), 1))
                out[inside : inside + 4] = random.choice(
                    (struct.pack(">I", random.choice(NUMBERS)), b"para", b"curv", b"mft2", b"mAB ")
                )
    except struct.error:
        return data
    return bytes(out)


# --- boxes (ISO/IEC 14496-12; HEIF is ISO/IEC 23008-12) ---

_HOLDS = {b"moov": 0, b"trak": 0, b"meta": 4, b"iprp": 0, b"ipco": 0, b"dinf": 0, b"iinf": 6, b"iref": 4}


def _boxes(data: bytes, begins: int, ends: int, depth: int = 0) -> Iterator[tuple[int, int, bytes]]:
    at = begins
    while at + 8 <= ends and depth < 6:
        size = int.from_bytes(data[at : at + 4], "big") or ends - at
        if size < 8:
            return
        kind = data[at + 4 : at + 8]
        yield at, min(size, ends - at), kind
        if kind in _HOLDS:
            yield from _boxes(data, at + 8 + _HOLDS[kind], min(at + size, ends), depth + 1)
        at += size


def change_boxes(random: Random, data: bytes) -> bytes:
    """A box dropped, doubled, emptied, renamed, of another size than it says, or changed inside."""
    found = list(_boxes(data, 0, len(data))) if data[4:8] == b"ftyp" else []
    if not found:
        return data
    at, size, kind = random.choice(found)
    box, after = data[at : at + size], data[at + size :]
    match random.randrange(7):
        case 0:
            box = b""
        case 1:
            box *= random.choice((2, 2, 200))
        case 2:
            box = random.choice(NUMBERS).to_bytes(4, "big") + box[4:]
        case 3:
            box = box[:4] + random.choice(found)[2] + box[8:]
        case 4 if kind == b"ispe":
            box = box[:12] + struct.pack(">II", random.choice(SIZES), random.choice(SIZES))
        case _:
            box = box[:8] + _inside(random, box[8:])
    return data[:at] + box + after


# --- zip (PKWARE, APPNOTE.TXT) ---


def change_zip(random: Random, data: bytes) -> bytes:
    """A field of one of the headers made another: flags, way of packing, sizes, lengths, places."""
    heads = [
        at
        for mark in (b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06")
        for at in range(len(data) - 4)
        if data.startswith(mark, at)
    ][:200]
    if not heads:
        return data
    at, field = random.choice(heads) + random.randrange(4, 46, 2), random.choice((2, 4))
    number: int = random.choice(NUMBERS) % 256**field
    return data[:at] + number.to_bytes(field, "little") + data[at + field :]


PICTURES: tuple[Mutator, ...] = (
    change_jpeg, change_jpeg, change_jpeg_frame, change_png, change_png, change_tiff, change_tiff, change_profile,
    change_boxes, change_boxes,
)  # fmt: skip
