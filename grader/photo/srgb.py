"""The sRGB transfer function, both ways, and the fast way from pixels to linear light."""

from functools import cache

import cv2
import numpy as np
from numpy.typing import ArrayLike

from grader.arrays import Float32Array, FloatArray, PixelArray, frozen

DECODE_KNEE = 0.04045
ENCODE_KNEE = 0.0031308


def srgb_to_linear(encoded: ArrayLike) -> FloatArray:
    """Linear light of sRGB-encoded values.

    V <= 0.04045: V / 12.92, else ((V + 0.055) / 1.055) ** 2.4.

    Parameters
    ----------
    encoded
        Any shape, 0 to 1 (values below 0 follow the straight part).

    Returns
    -------
    FloatArray
        Same shape, 0 to 1.

    References
    ----------
    IEC 61966-2-1:1999.
    """
    value = np.asarray(encoded, dtype=np.float64)
    curved = ((np.maximum(value, DECODE_KNEE) + 0.055) / 1.055) ** 2.4
    return np.where(value <= DECODE_KNEE, value / 12.92, curved)


def linear_to_srgb(linear: ArrayLike) -> FloatArray:
    """Linear light in sRGB encoding.

    L <= 0.0031308: 12.92 L, else 1.055 L ** (1 / 2.4) - 0.055.

    Parameters
    ----------
    linear
        Any shape, 0 to 1 (values below 0 follow the straight part).

    Returns
    -------
    FloatArray
        Same shape, 0 to 1.

    References
    ----------
    IEC 61966-2-1:1999.
    """
    value = np.asarray(linear, dtype=np.float64)
    curved = 1.055 * np.maximum(value, ENCODE_KNEE) ** (1 / 2.4) - 0.055
    return np.where(value <= ENCODE_KNEE, 12.92 * value, curved)


def linear_light(pixels: PixelArray) -> Float32Array:
    """Linear light, 0 to 1, of sRGB-encoded pixels.

    Parameters
    ----------
    pixels
        uint8 or uint16, any shape. Give it the part that is needed: the result is two to four times as large.

    Returns
    -------
    Float32Array
        Same shape.

    Raises
    ------
    TypeError
        If `pixels` are of another type: floats may be linear already, and only the caller knows.
    """
    if pixels.dtype not in (np.uint8, np.uint16):
        raise TypeError(f"pixels must be uint8 or uint16, got {pixels.dtype}")
    table = _decode_table(int(np.iinfo(pixels.dtype).max))
    if pixels.dtype == np.uint16 or pixels.size == 0:
        return table[pixels]
    # The same without an index of eight bytes for each of one byte.
    bytes_in_a_row = np.asarray(np.ascontiguousarray(pixels).reshape(-1, 1), np.uint8)
    return np.asarray(cv2.LUT(bytes_in_a_row, table).reshape(pixels.shape), np.float32)


def log_light(pixels: PixelArray, *, darkest: float) -> FloatArray:
    """Natural log of the linear light of sRGB-encoded pixels (any shape) and `darkest`, so that black has one."""
    white = int(np.iinfo(pixels.dtype).max)
    return np.asarray(np.take(_log_table(white, darkest), pixels))


@cache
def _decode_table(white: int) -> Float32Array:
    return frozen(srgb_to_linear(np.arange(white + 1) / white).astype(np.float32))


@cache
def _log_table(white: int, darkest: float) -> FloatArray:
    return frozen(np.log(_decode_table(white).astype(float) + darkest))
