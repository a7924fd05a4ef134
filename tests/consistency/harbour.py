"""Records of an invented kitchen whose fryer went dark: what charts of the records are held against."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from io import BytesIO
from unittest.mock import patch

import numpy as np
from PIL import Image

from grader.records.database import House, Setting, keep_graded
from grader.records.database.figures import PlateFigures, plate_figures
from tests.bars.records import graded_plate, house_standard
from tests.consistency.weeks import EVERY, START


def keep_harbour(house: House) -> House:
    """Twelve batches of two plates, the last four a step darker; photos that are small pictures."""
    rng = np.random.default_rng(3)
    for number in range(24):
        batch = number // 2
        picture = BytesIO()
        Image.fromarray(rng.integers(0, 255, (8, 8, 3), np.uint8)).save(picture, "PNG")
        graded = graded_plate(number, picture.getvalue(), fries=6)
        assert graded.photo is not None
        at = START + batch * EVERY + timedelta(minutes=number % 2)
        graded = replace(graded, photo=replace(graded.photo, taken_at=at.isoformat()))
        setting = Setting(kitchen="Harbour", zone="Europe/Lisbon", fryer="left", batch=f"batch {batch}", by="AB")
        with patch("grader.records.database.keeping.plate_figures", _about(3.0 + (batch >= 8) + rng.normal(0, 0.05))):
            keep_graded(house, graded, picture.getvalue(), standard=house_standard(), setting=setting)
    return house


def _about(level: float) -> Callable[..., PlateFigures]:
    return lambda *asked: replace(plate_figures(*asked), place_mean=level, place_sd=0.4)
