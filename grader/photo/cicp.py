"""Colour spaces by their code points, as HEIF files name them where they carry no ICC profile (ITU-T H.273)."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from grader.arrays import FloatArray
from grader.photo.refusals import refusal
from grader.photo.rgb_space import D65_XY, SRGB, SRGB_PRIMARIES, RgbSpace, ToneCurve, primaries_to_xyz
from grader.photo.srgb import srgb_to_linear

PRIMARIES = {
    1: ("BT.709", SRGB_PRIMARIES),
    9: ("BT.2020", ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046))),
    12: ("P3 D65", ((0.680, 0.320), (0.265, 0.690), (0.150, 0.060))),
}
"""H.273 table 2; all three have the white point D65."""


def _linear(encoded: FloatArray) -> FloatArray:
    return encoded


def _gamma_22(encoded: FloatArray) -> FloatArray:
    return np.asarray(encoded**2.2, dtype=np.float64)


# H.273 table 3. Files coded as video (1, 6, 14, 15) are shown, and were made to be shown, with the sRGB curve.
_CURVES: dict[int, ToneCurve] = dict.fromkeys((1, 6, 13, 14, 15), srgb_to_linear) | {4: _gamma_22, 8: _linear}
_HIGH_DYNAMIC_RANGE = {16, 18}


def space_of_code_points(nclx: Mapping[str, Any] | None) -> RgbSpace | None:
    """The space that a HEIF file's code points name; None where they are absent or say "unspecified".

    Raises
    ------
    PhotoUnreadable
        For the curves of high dynamic range (PQ and HLG): bringing those down to an ordinary picture is a matter of
        taste, and a colour after it would be no measurement.
    """
    if not nclx:
        return None
    transfer = nclx.get("transfer_characteristics")
    if transfer in _HIGH_DYNAMIC_RANGE:
        raise refusal("not_an_image", "it is a high dynamic range picture; switch HDR off in the camera")
    named, curve = PRIMARIES.get(nclx.get("color_primaries", 2)), _CURVES.get(transfer or 2)
    if named is None or curve is None:
        return None
    name, primaries = named
    to_srgb = np.linalg.solve(primaries_to_xyz(SRGB_PRIMARIES, D65_XY), primaries_to_xyz(primaries, D65_XY))
    if primaries is SRGB_PRIMARIES and curve is srgb_to_linear:
        return SRGB
    return RgbSpace(name=name, to_srgb=to_srgb.astype(np.float64), curves=(curve, curve, curve))
