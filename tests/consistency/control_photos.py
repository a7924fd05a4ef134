"""Control photographs: readings that are made up, and a card that was rendered and read."""

from datetime import UTC, datetime, timedelta

import cv2
import numpy as np

from grader.arrays import ByteArray, FloatArray, frozen
from grader.card import find_sheets, load_layouts, read_patches
from grader.card.model import Layout
from grader.card_values import sheet_samples
from grader.colour import fit_sheet_colour
from grader.consistency.control.reading import ControlReading, control_reading
from grader.consistency.control.series import Taken
from grader.photo import linear_to_srgb, srgb_to_linear
from tests.card.scenes import Pinhole, layout_of, photograph, picture_of

PATCHES = 24
START = datetime(2026, 11, 2, 9, tzinfo=UTC)
CARD = layout_of("card-a6")


def made_up(
    rng: np.random.Generator, *, seen: FloatArray | float = 0.0, left: FloatArray | float = 0.0, tint: float = 0.0
) -> ControlReading:
    """Each photo's patches scatter each by itself, and all together a little; on top what is asked for."""
    noise = rng.normal(0, 0.01, (PATCHES, 3)) + rng.normal(0, 0.01, 3)
    residual = rng.normal(0, 0.25, (PATCHES, 3)) + rng.normal(0, 0.15, 3)
    return ControlReading(
        numbers=tuple(range(1, PATCHES + 1)),
        usable=frozen(np.ones(PATCHES, bool)),
        seen=frozen(np.linspace(-2, 0, PATCHES)[:, None] + noise + seen),
        left=frozen(residual + left),
        weight=frozen(np.linspace(1, 0.2, PATCHES)),
        tint=frozen(rng.normal(0, 0.02, 2) + tint),
        fit_de=0.7,
    )


def in_a_row(readings: list[ControlReading]) -> list[Taken]:
    return [Taken(at=START + timedelta(days=day), reading=reading) for day, reading in enumerate(readings)]


def pixels(
    layout: Layout,
    *,
    number: int,
    gain: tuple[float, float, float] = (1.0, 1.0, 1.0),
    gamma: float = 1.0,
) -> ByteArray:
    """A photo of a card alone, by a light (`gain`) and a phone (`gamma` on top of the picture's own tone)."""
    rng = np.random.default_rng(number)
    camera = Pinhole.over(layout, tilt_deg=float(rng.uniform(0, 8)), towards_deg=float(rng.uniform(0, 360)))
    taken = photograph(picture_of(layout), camera, grain_number=number)
    light = srgb_to_linear(taken / 255) * np.array(gain) * rng.uniform(0.85, 1.0)
    return np.asarray(np.rint(linear_to_srgb(np.clip(light, 0, 1)) ** gamma * 255), np.uint8)


def png(image: ByteArray) -> bytes:
    return cv2.imencode(".png", image[..., ::-1])[1].tobytes()


def read(image: ByteArray) -> ControlReading:
    (sheet,) = find_sheets(image, load_layouts(), focal_35mm=26.0)
    readings = read_patches(image, sheet)
    samples = sheet_samples(sheet.layout, readings, None)
    numbers = tuple(patch.number for patch in sheet.layout.patches)
    return control_reading(samples, fit_sheet_colour(samples), numbers)
