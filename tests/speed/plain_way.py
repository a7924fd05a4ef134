"""The same job put together plainly from scikit-image: what anyone would write first, to be held against.

A threshold, a watershed, regions, CIELAB of the whole picture. It is told the picture's scale, which grading reads
from the card; it corrects no colour and knows no doubt.
"""

import io
from dataclasses import dataclass

import numpy as np
from PIL import Image
from scipy import ndimage
from skimage.color import rgb2lab
from skimage.feature import peak_local_max
from skimage.filters import threshold_otsu
from skimage.measure import regionprops
from skimage.morphology import remove_small_objects
from skimage.segmentation import watershed

from grader.arrays import ByteArray, FloatArray, IntArray

_LEAST_MM2 = 45.0
_PEAKS_APART_MM = 6.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlainFry:
    """One region: its number, mm, CIELAB (3,)."""

    number: int
    length_mm: float
    width_mm: float
    lab: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlainPlate:
    """What was found, and (h, w) which pixel belongs to which."""

    fries: tuple[PlainFry, ...]
    labels: IntArray


def decoded(data: bytes) -> ByteArray:
    """(h, w, 3) of a photo's bytes, and nothing else: the least that any program must do."""
    with Image.open(io.BytesIO(data)) as picture:
        return np.asarray(picture.convert("RGB"))


def graded_plainly(data: bytes, *, px_per_mm: float) -> PlainPlate:
    """Find and measure the fries of a photo."""
    lab = rgb2lab(decoded(data).astype(np.float32) / 255)
    yellowness = lab[..., 2]
    fries = remove_small_objects(yellowness > threshold_otsu(yellowness), max_size=round(_LEAST_MM2 * px_per_mm**2))
    depth = ndimage.distance_transform_edt(fries)
    peaks = peak_local_max(depth, min_distance=round(_PEAKS_APART_MM * px_per_mm), labels=ndimage.label(fries)[0])
    markers = np.zeros(fries.shape, np.int32)
    markers[tuple(peaks.T)] = np.arange(1, len(peaks) + 1)
    labels = watershed(-depth, markers, mask=fries)
    regions = regionprops(labels, intensity_image=lab)
    return PlainPlate(
        fries=tuple(
            PlainFry(
                number=region.label,
                length_mm=region.axis_major_length / px_per_mm,
                width_mm=region.axis_minor_length / px_per_mm,
                lab=np.asarray(region.intensity_mean, float),
            )
            for region in regions
        ),
        labels=np.asarray(labels, np.int64),
    )
