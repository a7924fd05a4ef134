"""What was rendered and what was read, as typed values.

Truth is NAME.json and NAME.mask.png, readings are NAME.json and NAME.labels.png.
"""

import json
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Json = dict[str, Any]
Lab = tuple[float, float, float]
Labels = NDArray[np.int64]

REQUIRED_SHARE = 0.35
"""A fry must be found when at least this share of it shows ..."""
REQUIRED_PX = 400
"""... and at least so many of its pixels do; other fries neither help nor hurt."""
LENGTH_SHARE = 0.9
"""A fry's length, width and dark end are compared when at least this share of it shows."""
COLOUR_SHARE = 0.6
"""A fry's colour is compared when at least this share of it shows."""

EXPECTED_REASONS: dict[str, frozenset[str]] = {
    "nocard": frozenset({"card_not_found"}),
    "covered": frozenset({"card_partly_hidden"}),
    "glare": frozenset({"card_glare", "colour_fit_poor"}),
    "blur": frozenset({"photo_blurred"}),
    "burnt": frozenset({"photo_overexposed"}),
    "foreign": frozenset({"card_unknown"}),
    "dark": frozenset({"photo_underexposed"}),
}
"""Photos whose name holds `bad-KIND` must be refused, with one of these codes first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueFry:
    """A fry as rendered; `dark_reach_mm` is 0 where it has no dark end, `lab` is that of its visible flesh."""

    number: int
    length_mm: float
    width_mm: float
    visible_share: float
    visible_px: int
    lab: Lab | None
    dark_reach_mm: float

    @property
    def required(self) -> bool:
        """Enough of it shows that it must be found."""
        return self.visible_share >= REQUIRED_SHARE and self.visible_px >= REQUIRED_PX

    @property
    def length_counts(self) -> bool:
        """Enough of it shows that its length must be right."""
        return self.required and self.visible_share >= LENGTH_SHARE

    @property
    def colour_counts(self) -> bool:
        """Enough of it shows that its colour must be right."""
        return self.required and self.visible_share >= COLOUR_SHARE and self.lab is not None


@dataclass(frozen=True, kw_only=True)
class TruePlate:
    """A plate as rendered: `group` is spread, touching, crossing, heap or mat; `reasons` is empty where it is good."""

    name: str
    group: str
    inks: bool
    reasons: frozenset[str]
    fries: tuple[TrueFry, ...]
    mask_file: Path

    @cached_property
    def mask(self) -> Labels:
        """(h, w) the fry at each pixel, 0 where none is."""
        return read_labels(self.mask_file)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadFry:
    """A fry as graded; None where no number was given."""

    number: int
    length_mm: float | None
    length_mm_u: float | None
    width_mm: float | None
    width_mm_u: float | None
    lab: Lab | None
    lab_u: Lab | None
    dark_end_mm: float | None


@dataclass(frozen=True, kw_only=True)
class ReadPlate:
    """A photo as graded."""

    refused: bool
    codes: tuple[str, ...]
    fries: tuple[ReadFry, ...]
    labels_file: Path

    @cached_property
    def labels(self) -> Labels:
        """(h, w) the grader's fry at each pixel, 0 where none is."""
        return read_labels(self.labels_file)


def read_labels(path: Path) -> Labels:
    """A 16 bit single-channel PNG as (h, w) whole numbers."""
    raw = cv2.imread(str(path), cv2.IMREAD_UNCHANGED)
    if raw is None or raw.ndim != 2:
        message = f"{path} is no picture of one channel"
        raise ValueError(message)
    return raw.astype(np.int64)


def _true_fry(record: Json) -> TrueFry:
    dark = record["dark_end"]
    lab = record.get("flesh_lab_mean")
    return TrueFry(
        number=record["id"],
        length_mm=record["length_mm"],
        width_mm=record["width_mm"],
        visible_share=record["visible_share"],
        visible_px=record["visible_px"],
        lab=None if lab is None else (lab[0], lab[1], lab[2]),
        dark_reach_mm=record["length_mm"] * dark["fraction"] if dark else 0.0,
    )


def _expected_reasons(name: str) -> frozenset[str]:
    _, marked, kind = name.rpartition("bad-")
    return EXPECTED_REASONS[kind] if marked else frozenset()


def read_truth(path: Path) -> TruePlate:
    """The truth of one plate, from its NAME.json; NAME.mask.png lies beside it."""
    record: Json = json.loads(path.read_text(encoding="utf-8"))
    return TruePlate(
        name=path.stem,
        group="mat" if record["mat"] else record["layout"],
        inks=bool(record.get("ink")),
        reasons=_expected_reasons(path.stem),
        fries=tuple(_true_fry(fry) for fry in record["fries"]),
        mask_file=path.with_suffix(".mask.png"),
    )


def _lab(values: list[float] | None) -> Lab | None:
    return None if values is None else (values[0], values[1], values[2])


def read_readings(path: Path) -> ReadPlate:
    """The readings of one photo, from its NAME.json; NAME.labels.png lies beside it."""
    record: Json = json.loads(path.read_text(encoding="utf-8"))
    return ReadPlate(
        refused=record["status"] == "refused",
        codes=tuple(reason["code"] for reason in record["reasons"]),
        fries=tuple(
            ReadFry(
                number=fry["id"],
                length_mm=fry["length_mm"],
                length_mm_u=fry["length_mm_u"],
                width_mm=fry["width_mm"],
                width_mm_u=fry.get("width_mm_u"),
                lab=_lab(fry["lab"]),
                lab_u=_lab(fry["lab_u"]),
                dark_end_mm=fry["dark_end_mm"],
            )
            for fry in record["fries"]
        ),
        labels_file=path.with_suffix(".labels.png"),
    )


def truths(folder: Path) -> tuple[TruePlate, ...]:
    """Every truth under a folder (a NAME.json with a NAME.mask.png beside it), by name."""
    paths = [path for path in folder.rglob("*.json") if path.with_suffix(".mask.png").exists()]
    return tuple(read_truth(path) for path in sorted(paths, key=lambda path: path.stem))


def readings(folder: Path, name: str) -> ReadPlate | None:
    """The readings of the photo `name`, wherever they lie under a folder; None where there are none."""
    found = [path for path in folder.rglob(f"{name}.json") if not path.with_suffix(".mask.png").exists()]
    return read_readings(found[0]) if found else None
