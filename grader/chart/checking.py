"""Photographs of a chart checked one by one and all together: read or refused, predicted, summed up."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from grader.arrays import FloatArray, PixelArray
from grader.chart.finding import chart_at, find_chart
from grader.chart.model import ChartReadings, ChartValues, FoundChart
from grader.chart.prediction import ODD, Prediction, predict_even
from grader.chart.reading import read_chart
from grader.errors import PhotoRefused
from grader.photo import linear_to_srgb, read_photo

LEAST_SIDE_PX = 100
"""A chart alone may be a small picture: ten pixels of each patch will do."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartPhoto:
    """A photograph to check: its file, or what was read of its patches elsewhere.

    Attributes
    ----------
    data
        Bytes of the photo's file; None where `readings` are given.
    corners_px
        (4, 2) outer corners of the four outer patches, in turn around; None where the chart is to be found.
    linear
        The file holds linear values, not sRGB-encoded ones (a camera's raw picture developed plainly).
    readings
        Of the patches, where they came with it.
    """

    name: str
    data: bytes | None = None
    corners_px: ArrayLike | None = None
    linear: bool = False
    readings: ChartReadings | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CheckedPhoto:
    """A photograph checked: how the chart was found (None where its readings were given), and each method's figures."""

    name: str
    chart: FoundChart | None
    readings: ChartReadings
    predictions: dict[str, Prediction]

    @property
    def odd_used(self) -> int:
        """Odd patches that could be read."""
        return int((ODD & self.readings.usable).sum())

    @property
    def even_used(self) -> int:
        """Even patches that could be read."""
        return int((~ODD & self.readings.usable).sum())


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedPhoto:
    """A photograph that could not be checked, and why."""

    name: str
    message: str
    hint: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """Of CIE 2000 differences: how many, median, 95th percentile and largest; nan where there are none."""

    count: int
    median: float
    p95: float
    largest: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChartCheck:
    """All photographs of a check, against one chart's values."""

    values: ChartValues
    photos: tuple[CheckedPhoto, ...]
    refused: tuple[RefusedPhoto, ...]

    def predicted(self, method: str) -> Figures:
        """Over the even patches of all photographs: not seen by the fit."""
        return figures([photo.predictions[method].predicted_de for photo in self.photos])

    def fitted(self, method: str) -> Figures:
        """Over the odd patches of all photographs: the fit's own."""
        return figures([photo.predictions[method].fitted_de for photo in self.photos])


def check_photos(photos: Iterable[ChartPhoto], values: ChartValues) -> ChartCheck:
    """Check photographs of a chart; one that can't be read comes back refused, with the reason."""
    checked, refused = [], []
    for photo in photos:
        try:
            checked.append(_check(photo, values))
        except PhotoRefused as refusal:
            refused.append(RefusedPhoto(name=photo.name, message=refusal.message, hint=refusal.hint))
    return ChartCheck(values=values, photos=tuple(checked), refused=tuple(refused))


def figures(parts: Sequence[FloatArray]) -> Figures:
    """Of all differences together."""
    de = np.concatenate(parts) if parts else np.array([])
    if not len(de):
        return Figures(count=0, median=float("nan"), p95=float("nan"), largest=float("nan"))
    median, p95 = np.percentile(de, [50, 95])
    return Figures(count=len(de), median=float(median), p95=float(p95), largest=float(de.max()))


def encoded(pixels: PixelArray) -> PixelArray:
    """Pixels (h, w, 3) of linear values in sRGB encoding, uint16: what the rest of the program expects of a photo."""
    white = np.iinfo(pixels.dtype).max
    table = np.rint(linear_to_srgb(np.arange(white + 1) / white) * 65535).astype(np.uint16)
    return table[pixels]


def _check(photo: ChartPhoto, values: ChartValues) -> CheckedPhoto:
    chart, readings = None, photo.readings
    if readings is None:
        chart, readings = _read(photo, values)
    return CheckedPhoto(
        name=photo.name, chart=chart, readings=readings, predictions=predict_even(readings, values.patch_lab)
    )


def _read(photo: ChartPhoto, values: ChartValues) -> tuple[FoundChart, ChartReadings]:
    pixels = read_photo(photo.data or b"", name=photo.name, least_side_px=LEAST_SIDE_PX).pixels
    if photo.linear:
        pixels = encoded(pixels)
    if photo.corners_px is None:
        chart = find_chart(pixels, values.patch_lab)
    else:
        chart = chart_at(pixels, photo.corners_px, values.patch_lab)
    return chart, read_chart(pixels, chart.homography)
