"""Plates whose fries' true colours are known, read as far as the colour needs: the card, and each fry's own pixels.

Beside each NAME.jpg, or in truth/, lie NAME.json (its truth) and NAME.mask.png (0, or the number of the fry that a
pixel shows). The true outlines are taken, so that nothing but colour is measured. Heaps and plates meant to be refused
(`-bad-`) are left out.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from grader.arrays import FloatArray, LabelArray, MaskArray, PixelArray
from grader.card import find_sheet, load_layouts, read_patches
from grader.card.model import Camera
from grader.card.plane import px_per_mm
from grader.card.pose import level_to_pixels, to_plane
from grader.card_values import sheet_samples
from grader.colour import FleshSample, SheetColour, SheetSamples, light_at, sample_flesh, top_face
from grader.errors import PhotoRefused
from grader.photo import read_photo
from grader.photo.srgb import linear_light

# A fry with more skin has two colours; one that hides more has too few pixels.
_MOST_SKIN, _LEAST_VISIBLE = 0.02, 0.6
_RIM_MM = 0.5
_LEAST_PIXELS, _MOST_PIXELS = 60, 1500
# A fry's top lies so high, over the width that it was cut to: it shrinks as it fries.
_TOP_HEIGHT = 0.9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FryWithTruth:
    """One fry.

    Attributes
    ----------
    rgb, on_top, xy_mm
        (k, 3) picture-linear rgb of its pixels, (k,) which show its top, (k, 2) where they lie on the sheet.
    lab
        (3,) its flesh's true CIELAB.
    plain
        It has no skin to speak of: then all its pixels are flesh.
    """

    rgb: FloatArray
    on_top: MaskArray
    xy_mm: FloatArray
    lab: FloatArray
    plain: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlateWithTruth:
    """One plate: its light's name, what its sheet is, what was read of that, its fries.

    Colours are compared on the plain fries. The others are kept for their shine, as all fries of a plate tell it.
    """

    name: str
    illuminant: str
    on_mat: bool
    inks: bool
    samples: SheetSamples
    fries: tuple[FryWithTruth, ...]

    @property
    def plain(self) -> MaskArray:
        """(n,) which fries have no skin."""
        return np.array([fry.plain for fry in self.fries], bool)

    @property
    def true_lab(self) -> FloatArray:
        """(n, 3) of its fries."""
        return np.array([fry.lab for fry in self.fries])


def read_plates(folders: Sequence[Path]) -> Iterator[PlateWithTruth]:
    """Every plate in the folders that can be read, in order of its name.

    Raises
    ------
    ValueError
        If there is none.
    """
    photos = [photo for folder in folders for photo in folder.glob("*.jpg") if _truth_file(photo).exists()]
    if not photos:
        raise ValueError(f"no plate with truth (NAME.jpg, NAME.json, NAME.mask.png) in {', '.join(map(str, folders))}")
    for photo in sorted(photos, key=lambda file: file.name):
        plate = None if "-bad-" in photo.name else _read_plate(photo)
        if plate is not None:
            yield plate


def flesh_samples(plate: PlateWithTruth, colour: SheetColour, *, lit_evenly: bool = False) -> list[FleshSample]:
    """Each fry's flesh as `colour` corrects it; `lit_evenly` takes the light to be the same all over."""
    found = []
    for fry in plate.fries:
        light, light_u = light_at(colour.light, fry.xy_mm)
        even = np.ones_like(light)
        found.append(
            sample_flesh(
                fry.rgb,
                fry.on_top,
                correction=colour.correction,
                light=even if lit_evenly else light,
                light_u=float(light_u.mean()),
            )
        )
    return found


def _truth_file(photo: Path) -> Path:
    beside = photo.with_suffix(".json")
    return beside if beside.exists() else photo.parent / "truth" / beside.name


def _read_plate(photo_file: Path) -> PlateWithTruth | None:
    truth_file = _truth_file(photo_file)
    truth = json.loads(truth_file.read_text(encoding="utf-8"))
    if truth["layout"] == "heap":
        return None
    photo = read_photo(photo_file.read_bytes(), name=photo_file.name)
    try:
        sheet = find_sheet(photo.pixels, load_layouts(), focal_35mm=photo.focal_35mm)
    except PhotoRefused:
        return None
    labels = np.asarray(cv2.imread(str(truth_file.with_suffix(".mask.png")), cv2.IMREAD_UNCHANGED), np.uint16)
    ground_mm = 0.0 if truth["mat"] else -float(truth["card_z_mm"])
    top_mm = ground_mm + _TOP_HEIGHT * float(truth["cut_mm"])
    rim_px = max(1, round(_RIM_MM * px_per_mm(sheet)))
    fries = [
        _read_fry(known, photo.pixels, labels, sheet.camera, heights_mm=(ground_mm, top_mm), rim_px=rim_px)
        for known in truth["fries"]
        if known["visible_share"] >= _LEAST_VISIBLE and "flesh_lab_mean" in known
    ]
    beside = truth.get("ambient_illuminant")
    return PlateWithTruth(
        name=photo_file.stem,
        illuminant=truth["illuminant"] + (f" with {beside}" if beside else ""),
        on_mat=bool(truth["mat"]),
        inks=bool(truth.get("ink")),
        samples=sheet_samples(sheet.layout, read_patches(photo.pixels, sheet), None),
        fries=tuple(fry for fry in fries if fry is not None),
    )


def _read_fry(
    known: dict[str, Any],
    pixels: PixelArray,
    labels: LabelArray,
    camera: Camera,
    *,
    heights_mm: tuple[float, float],
    rim_px: int,
) -> FryWithTruth | None:
    """One fry's pixels, evenly drawn from all that lie well inside it; None where there are too few."""
    places = _well_inside(labels, int(known["id"]), rim_px)
    if len(places) < _LEAST_PIXELS:
        return None
    rng = np.random.default_rng(int(known["id"]))
    places = places[rng.choice(len(places), min(len(places), _MOST_PIXELS), replace=False)]
    ground_mm, top_mm = heights_mm
    xy_mm = to_plane(camera, places.astype(float), top_mm)
    below = level_to_pixels(camera, xy_mm, ground_mm)
    return FryWithTruth(
        rgb=linear_light(pixels[places[:, 1], places[:, 0]]).astype(float),
        on_top=top_face(labels, places, below),
        xy_mm=xy_mm,
        lab=np.array(known["flesh_lab_mean"]),
        plain=float(known["skin_share"]) <= _MOST_SKIN,
    )


def _well_inside(labels: LabelArray, number: int, rim_px: int) -> np.ndarray[tuple[int, int], np.dtype[np.intp]]:
    """(k, 2) pixels x, y of a fry, its blurred rim left out."""
    ys, xs = np.nonzero(labels == number)
    if len(xs) == 0:
        return np.zeros((0, 2), np.intp)
    box = (slice(ys.min(), ys.max() + 1), slice(xs.min(), xs.max() + 1))
    mask = np.pad((labels[box] == number).astype(np.uint8), rim_px)
    y, x = np.nonzero(cv2.erode(mask, np.ones((2 * rim_px + 1, 2 * rim_px + 1), np.uint8)))
    return np.column_stack([x + xs.min() - rim_px, y + ys.min() - rim_px]).astype(np.intp)
