"""RGB colour spaces made of three primaries and three tone curves, and the way from one of them to sRGB."""

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np

from grader.arrays import ByteArray, Float32Array, FloatArray, PixelArray, frozen
from grader.photo.srgb import linear_to_srgb, srgb_to_linear

ToneCurve = Callable[[FloatArray], FloatArray]
"""From encoded values, 0 to 1, to linear light, 0 to 1."""

SRGB_PRIMARIES = ((0.640, 0.330), (0.300, 0.600), (0.150, 0.060))
"""CIE xy of red, green, blue: IEC 61966-2-1 (ITU-R BT.709)."""

D65_XY = (0.3127, 0.3290)

BRADFORD = frozen(np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]))
"""The adaptation that ICC.1:2022, annex E, uses to bring a space's white to D50."""

D50_XYZ = frozen(np.array([0.9642, 1.0, 0.8249]))
"""White of the profile connection space, ICC.1:2022, 7.2.16."""

_BLOCK_ROWS = 64
_ENCODE_STEPS = 65535


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RgbSpace:
    """A colour space: `to_srgb` (3, 3) takes its linear light to linear sRGB; a tone curve for each channel."""

    name: str
    to_srgb: FloatArray
    curves: tuple[ToneCurve, ToneCurve, ToneCurve]


def primaries_to_xyz(primaries: tuple[tuple[float, float], ...], white_xy: tuple[float, float]) -> FloatArray:
    """(3, 3) matrix from linear RGB to XYZ whose white (1, 1, 1) has Y = 1.

    References
    ----------
    SMPTE RP 177-1993, section 3.3.
    """
    columns = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in primaries]).T
    x, y = white_xy
    return columns * np.linalg.solve(columns, [x / y, 1.0, (1 - x - y) / y])


def adapted_to_d50(rgb_to_xyz: FloatArray) -> FloatArray:
    """(3, 3) the same space's matrix with its white brought to D50 by the Bradford transform (ICC.1:2022, annex E)."""
    scale = (BRADFORD @ D50_XYZ) / (BRADFORD @ rgb_to_xyz.sum(axis=1))
    return np.linalg.solve(BRADFORD, scale[:, None] * (BRADFORD @ rgb_to_xyz))


def is_srgb(space: RgbSpace) -> bool:
    """Whether converting would change no colour by a whole 8-bit level: then the pixels may stay as they are.

    sRGB's own widespread profile, rounded as it is, differs from the standard by 0.51 level at pure green.
    """
    steps = np.linspace(0, 1, 18)
    lattice = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
    linear = np.stack([curve(lattice[:, i]) for i, curve in enumerate(space.curves)], axis=-1) @ space.to_srgb.T
    return bool(np.abs(linear_to_srgb(linear.clip(0, 1)) - lattice).max() <= 0.75 / 255)


def convert_to_srgb(pixels: PixelArray, space: RgbSpace) -> PixelArray:
    """Pixels of `space` as sRGB-encoded pixels of the same type; colours that sRGB can't hold are clipped.

    Works through the picture in blocks of rows, so that no float copy of the whole is made.

    Parameters
    ----------
    pixels
        (h, w, 3) uint8 or uint16.
    """
    if is_srgb(space):
        return pixels
    codes = np.linspace(0, 1, int(np.iinfo(pixels.dtype).max) + 1)
    decode = np.stack([curve(codes) for curve in space.curves], axis=-1).astype(np.float32)
    matrix = space.to_srgb.astype(np.float32)
    out = np.empty_like(pixels)
    for top in range(0, pixels.shape[0], _BLOCK_ROWS):
        rows = slice(top, top + _BLOCK_ROWS)
        linear = cv2.transform(_decoded(pixels[rows], decode), matrix)
        out[rows] = _encoded(np.asarray(linear, dtype=np.float32), out.dtype)
    return out


def _decoded(block: PixelArray, table: Float32Array) -> Float32Array:
    if block.dtype == np.uint8:
        return np.asarray(cv2.LUT(block, table[None]), dtype=np.float32)
    return np.stack([table[:, channel][block[..., channel]] for channel in range(3)], axis=-1)


def _encoded(linear: Float32Array, dtype: np.dtype[np.uint8] | np.dtype[np.uint16]) -> PixelArray:
    if dtype == np.uint16:
        return np.rint(linear_to_srgb(linear.clip(0, 1)) * 65535).astype(np.uint16)
    # 65536 steps of linear light: near black one of them is 1/20 of an 8-bit level, so the rounding stays right.
    codes: ByteArray = np.take(_ENCODE_8_BIT, np.rint(linear.clip(0, 1) * _ENCODE_STEPS).astype(np.uint16))
    return codes


_ENCODE_8_BIT = frozen(np.rint(linear_to_srgb(np.linspace(0, 1, _ENCODE_STEPS + 1)) * 255).astype(np.uint8))

SRGB = RgbSpace(name="sRGB", to_srgb=frozen(np.eye(3)), curves=(srgb_to_linear, srgb_to_linear, srgb_to_linear))
