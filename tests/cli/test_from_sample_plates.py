"""A standard from the sample plates, the whole way from photos to the file and to plates it has not seen; -m slow."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from typer.testing import Result

from grader.arrays import FloatArray
from grader.cli.exits import Exit
from grader.colour.difference import ciede2000
from grader.photo.srgb import linear_to_srgb, srgb_to_linear
from grader.standard import read_standard

Call = Callable[..., Result]
BATCHES = {"gold": "b1", "dark": "b2"}
LIGHTER = 1.35


def rendered(samples: Path, batch: str) -> FloatArray:
    """The mean colour of a batch's plates as rendered: of each plate's fries, then of the plates."""
    plates = []
    for file in (samples / batch / "truth").glob("*.json"):
        fries = json.loads(file.read_text(encoding="utf-8"))["fries"]
        plates.append(np.mean([fry["flesh_lab_mean"] for fry in fries if fry["kind"] == "fry"], axis=0))
    return np.asarray(np.mean(plates, axis=0), float)


def paled(photo: Path, mask: Path, to: Path) -> None:
    """The same photo, its fries lighter: nothing else of it changes, so that the card says what it said."""
    with Image.open(photo) as picture:
        pixels = np.asarray(picture.convert("RGB")).copy()
        exif = picture.getexif()
    fries = np.asarray(Image.open(mask)) > 0
    pixels[fries] = np.round(255 * linear_to_srgb(np.clip(LIGHTER * srgb_to_linear(pixels[fries] / 255), 0, 1)))
    Image.fromarray(pixels).save(to, quality=95, subsampling=0, exif=exif)


@pytest.mark.slow
def test_sample_plates_give_a_standard_that_judges_others(call: Call, samples: Path, tmp_path: Path) -> None:
    top, out = tmp_path / "plates", tmp_path / "house.toml"
    for step, batch in BATCHES.items():
        (top / step).mkdir(parents=True)
        for photo in (samples / batch).glob("*.jpg"):
            shutil.copy(photo, top / step)
    (top / "pale").mkdir()
    for photo in (samples / "b1").glob("*.jpg"):
        paled(photo, samples / "b1" / "truth" / f"{photo.stem}.mask.png", top / "pale" / photo.name)
    steps = ("--step", "pale", "--step", "gold", "--step", "dark", "--right", "gold")
    result = call("standard-from-plates", top, *steps, "--out", out)
    print(result.stdout)
    assert result.exit_code == Exit.DONE, result.output
    assert "9 of 9 plates were put on their own step" in " ".join(result.stdout.split())
    scale = read_standard(out.read_text(encoding="utf-8"), name=out.name).scale
    anchors = {step.name: step.lab for step in scale.steps}
    off = {step: float(ciede2000(anchors[step], rendered(samples, batch))) for step, batch in BATCHES.items()}
    print(off)
    assert max(off.values()) <= 2.5  # what the bars ask of a colour beside a card: a scale is no truer than its photos
    b3 = call("grade", samples / "b3", "--standard", out, "--out", tmp_path / "graded", "--json")
    assert b3.exit_code == Exit.DONE
    for file in (tmp_path / "graded").glob("b3-plate?.json"):
        fries = json.loads(file.read_text(encoding="utf-8"))["fries"]
        place = np.mean([fry["scale_place"] for fry in fries if fry["scale_place"] is not None])
        assert scale.target_from < place < scale.target_to
