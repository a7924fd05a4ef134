"""The camera that plates are rendered through: what light its sensor sees, and how it makes a picture of that."""

import json
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray
from grader.colour.cie import xyz_to_linear_srgb
from grader.photo.srgb import linear_to_srgb

# Every 5 nm: CIE illuminants, a camera's sensitivities, the 2 degree observer and the 24 reflectances that colour
# matrices are fitted on, as colour-science 0.4.7 tabulates them.
SPECTRA: dict[str, Any] = json.loads((Path(__file__).parent / "spectra.json").read_text())
WAVELENGTHS_NM = np.array(SPECTRA["wavelengths"], float)
_HALF_FRAME_MM, _FRAME_SHARE = 21.633, 0.8


def illuminant(name: str) -> FloatArray:
    """Relative power (n,) of a light."""
    return np.array(SPECTRA["illuminants"][name], float)


def sensitivities(camera: str | dict[str, Any]) -> FloatArray:
    """(n, 3) of a camera, each channel perhaps shifted by some nm."""
    if isinstance(camera, str):
        camera = {"base": camera, "shift_nm": [0, 0, 0]}
    curves = np.array(SPECTRA["cameras"][camera["base"]])
    shifted = [
        np.interp(WAVELENGTHS_NM - shift, WAVELENGTHS_NM, curve, left=0, right=0)
        for shift, curve in zip(camera["shift_nm"], curves.T, strict=True)
    ]
    return np.stack(shifted, 1)


def half_view(focal_35mm: float) -> float:
    """Tangent of half the angle that the picture's width covers."""
    return _FRAME_SHARE * _HALF_FRAME_MM / focal_35mm


def project(points: FloatArray, pose: FloatArray, scene: dict[str, Any]) -> FloatArray:
    """Places (n, 3), mm, to pixels (n, 2); the pose is the camera's own axes in the scene, as a (4, 4) matrix."""
    width, height = scene["size"]
    seen = np.c_[points, np.ones(len(points))] @ np.linalg.inv(pose).T
    focal = width / 2 / half_view(scene["f35_mm"])
    return np.asarray(np.c_[width / 2 - focal * seen[:, 0] / seen[:, 2], height / 2 - focal * seen[:, 1] / seen[:, 2]])


def developed(scene: dict[str, Any], raw: FloatArray) -> ByteArray:
    """The sensor's light (h, w, 3) as a picture: white balance, noise, colour matrix, blur, tone, sharpening."""
    rng = np.random.default_rng(scene["seed"] + 5)
    picture = raw / _white(scene, raw)
    matrix = _colour_matrix(scene, rng)
    picture = picture * (1 + rng.normal(0, scene["wb_error"], 3) * [1, 0, 1]) * 0.82 * 2 ** scene["ev"]
    picture, full = np.clip(picture, 0, None), scene["full"]
    noise = np.sqrt(picture / full + (3 / full) ** 2) * 1.2
    picture = np.clip(picture + rng.standard_normal(picture.shape) * noise, 0, 1) @ matrix
    grey = picture.mean(-1, keepdims=True)
    picture = grey + (picture - grey) * scene["saturation"]
    picture = np.clip(_blurred(picture, max(0.3, scene["blur_px"])), 0, 1)
    encoded, tone = linear_to_srgb(picture), scene["tone"]
    encoded = (1 - tone) * encoded + tone * encoded**2 * (3 - 2 * encoded)
    encoded = encoded + (encoded - _blurred(encoded, 1.6)) * 0.35
    return np.asarray((np.clip(encoded, 0, 1) * 255 + 0.5).astype(np.uint8))


def _white(scene: dict[str, Any], raw: FloatArray) -> FloatArray:
    """A perfect white in the scene's light, told by the brightest parts of the picture."""
    bright = np.percentile(raw[::4, ::4].reshape(-1, 3), 97, 0)
    neutral = illuminant(scene["illuminant"]) @ sensitivities(scene["camera"])
    return np.asarray(neutral / neutral[1] * bright[1] * 1.05)


def _colour_matrix(scene: dict[str, Any], rng: np.random.Generator) -> FloatArray:
    """From balanced camera channels to linear sRGB: fitted for daylight or for the light itself, rows of sum 1."""
    observer, daylight = np.array(SPECTRA["cmf"]), illuminant("D65")
    light = illuminant(scene["illuminant"])
    source = light if scene["illuminant"] == "A" or rng.random() >= 0.5 else daylight
    curves, surfaces = sensitivities(scene["camera"]), np.array(SPECTRA["training"])
    response = (surfaces * source) @ curves / (source @ curves)
    wanted = xyz_to_linear_srgb((surfaces * daylight) @ observer / (daylight @ observer[:, 1]))
    matrix = np.linalg.lstsq(response, wanted, rcond=None)[0]
    return np.asarray(matrix / matrix.sum(0))


def shaken(raw: FloatArray, length_px: float, angle: float) -> FloatArray:
    """The light blurred along a line of up to 7 px."""
    kernel = np.zeros((9, 9), np.float32)
    for t in np.linspace(-0.5, 0.5, 41) * length_px:
        x, y = 4 + t * np.cos(angle), 4 + t * np.sin(angle)
        i, j = int(y), int(x)
        kernel[i : i + 2, j : j + 2] += np.outer([1 - y % 1, y % 1], [1 - x % 1, x % 1])
    blurred = cv2.filter2D(raw.astype(np.float32), -1, kernel / kernel.sum(), borderType=cv2.BORDER_REPLICATE)
    return blurred.astype(np.float64)


def _blurred(picture: FloatArray, sigma_px: float) -> FloatArray:
    return cv2.GaussianBlur(picture.astype(np.float32), (0, 0), sigma_px).astype(np.float64)
