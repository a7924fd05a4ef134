"""Reading an ICC profile: its name, and the colour space where it is made of primaries and tone curves.

Own reader because pixels of 16 bits must keep their precision, and Pillow's littlecms works on 8.
Profiles made of tables (printers', scanners') are not read here: `grader.photo.profile` hands them to littlecms.
Source of all layouts: ICC.1:2022 (profile version 4.4), which also describes version 2's curves.
"""

import struct
from dataclasses import dataclass
from functools import partial

import numpy as np

from grader.arrays import FloatArray
from grader.photo.rgb_space import D65_XY, SRGB_PRIMARIES, RgbSpace, ToneCurve, adapted_to_d50, primaries_to_xyz

_LARGEST_PROFILE = 4_000_000
_MOST_TAGS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """`colour_model` is "RGB", "GRAY" or "CMYK" (or another, padded); `space` is None where it is made of tables."""

    name: str
    colour_model: str
    space: RgbSpace | None


def read_profile(data: bytes) -> Profile:
    """What an ICC profile says.

    Raises
    ------
    ValueError
        If it is damaged or makes no sense.
    """
    try:
        return _read_profile(data)
    except (struct.error, KeyError, IndexError, OverflowError, UnicodeError, np.linalg.LinAlgError) as error:
        raise ValueError(f"damaged colour profile: {error}") from error


def _read_profile(data: bytes) -> Profile:
    if not 128 < len(data) <= _LARGEST_PROFILE or data[36:40] != b"acsp":
        raise ValueError("not a colour profile")
    model, tags = data[16:20].decode("ascii").strip(), _tags(data)
    name = _description(tags.get("desc", b"")) or "unnamed"
    space: RgbSpace | None = None
    if model == "GRAY":
        grey = _tone_curve(tags["kTRC"])
        space = RgbSpace(name=name, to_srgb=np.eye(3), curves=(grey, grey, grey))
    elif model == "RGB" and "A2B0" not in tags and "rTRC" in tags:
        colourants = np.stack([_xyz(tags[key]) for key in ("rXYZ", "gXYZ", "bXYZ")], axis=-1)
        to_srgb = np.linalg.solve(adapted_to_d50(primaries_to_xyz(SRGB_PRIMARIES, D65_XY)), colourants)
        red, green, blue = (_tone_curve(tags[key]) for key in ("rTRC", "gTRC", "bTRC"))
        space = RgbSpace(name=name, to_srgb=to_srgb.astype(np.float64), curves=(red, green, blue))
    if space is not None:
        _check_sane(space)
    return Profile(name=name, colour_model=model, space=space)


def _tags(data: bytes) -> dict[str, bytes]:
    """Each tag's bytes by its signature (7.3: a count, then signature, offset and size of each)."""
    (count,) = struct.unpack_from(">I", data, 128)
    if count > _MOST_TAGS:
        raise ValueError("too many tags")
    entries = [struct.unpack_from(">4sII", data, 132 + 12 * i) for i in range(count)]
    return {key.decode("latin-1"): data[offset : offset + size] for key, offset, size in entries}


def _description(tag: bytes) -> str:
    """The profile's name: version 4 `multiLocalizedUnicodeType` (10.15), version 2 `textDescriptionType`."""
    if tag[:4] == b"mluc":
        length, offset = struct.unpack_from(">II", tag, 20)
        text = tag[offset : offset + length].decode("utf-16-be", errors="replace")
    elif tag[:4] == b"desc":
        (length,) = struct.unpack_from(">I", tag, 8)
        text = tag[12 : 12 + length].decode("latin-1")
    else:
        return ""
    return "".join(c for c in text if c.isprintable()).strip()[:100]


def _fixed(tag: bytes, start: int, count: int) -> list[float]:
    """`count` numbers of the type s15Fixed16 (4.6)."""
    return [number / 65536 for number in struct.unpack_from(f">{count}i", tag, start)]


def _xyz(tag: bytes) -> FloatArray:
    if tag[:4] != b"XYZ ":
        raise ValueError("a primary is not given as XYZ")
    return np.array(_fixed(tag, 8, 3))


def _tone_curve(tag: bytes) -> ToneCurve:
    """`curveType` (10.6): identity, one exponent or a table; `parametricCurveType` (10.18)."""
    if tag[:4] == b"para":
        (kind,) = struct.unpack_from(">H", tag, 8)
        if kind > 4:
            raise ValueError("unknown kind of tone curve")
        return partial(_parametric, _fixed(tag, 12, (1, 3, 4, 5, 7)[kind]))
    if tag[:4] != b"curv":
        raise ValueError("unknown type of tone curve")
    (count,) = struct.unpack_from(">I", tag, 8)
    if count == 0:
        return partial(_parametric, [1.0])
    entries = np.frombuffer(tag, dtype=">u2", count=count, offset=12).astype(np.float64)
    if count == 1:
        return partial(_parametric, [entries[0] / 256])
    return partial(_tabled, entries / 65535)


def _tabled(table: FloatArray, encoded: FloatArray) -> FloatArray:
    """Straight lines between evenly spaced entries."""
    return np.interp(encoded, np.linspace(0, 1, table.size), table)


def _parametric(parameters: list[float], encoded: FloatArray) -> FloatArray:
    """Y = (a X + b) ** g + e for X >= d, else c X + f; short forms leave the later parameters out (table 68)."""
    g, a, b, c, d, e, f = 1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0
    match parameters:
        case [g]:
            pass
        case [g, a, b]:
            d = -b / a if a else 0.0
        case [g, a, b, e]:
            d, f = (-b / a if a else 0.0), e
        case [g, a, b, c, d]:
            pass
        case [g, a, b, c, d, e, f]:
            pass
    power = np.maximum(a * encoded + b, 0) ** g + e
    return np.where(encoded >= d, power, c * encoded + f)


def _check_sane(space: RgbSpace) -> None:
    """Tone curves must rise from dark to bright, and the three primaries together must make a white."""
    codes = np.linspace(0, 1, 257)
    for curve in space.curves:
        with np.errstate(all="ignore"):
            linear = curve(codes)
        if not (
            np.isfinite(linear).all() and (np.diff(linear) >= -1e-6).all() and linear[0] < 0.1 and linear[-1] > 0.9
        ):
            raise ValueError("a tone curve makes no sense")
    if not (np.isfinite(space.to_srgb).all() and np.allclose(space.to_srgb.sum(axis=1), 1, atol=0.1)):
        raise ValueError("the primaries make no white")
