"""What was read from one photo, as the files that other programs take: NAME.json and NAME.labels.png.

NAME.json holds per fry the measured numbers, each with its standard uncertainty (k = 1) beside it under the same name
plus `_u`; what carries no stated uncertainty stands apart under `indications`. null means: can't be measured. Where a
person mended the plate, fries and verdict are the mended ones, and `mending` holds what was done and both as they were.
"""

import json
import math
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from grader.arrays import LabelArray, frozen
from grader.card_values import CardValues
from grader.decision import Terms, long_shares
from grader.decision.model import LimitDecision, Verdict
from grader.errors import GraderError
from grader.fries.mends import signers
from grader.fries.model import Fry, FryFlag, Measured, NoFry
from grader.grading import GradedPhoto, plates_of
from grader.reasons import Reason
from grader.records.designations import beside_record, held_beside
from grader.records.mends import mend_record
from grader.records.naming import LABELS, READINGS
from grader.records.scale_words import fry_place
from grader.records.whole_files import write_whole
from grader.standard.model import ColourScale, Standard
from grader.trueness import Standing

Json = dict[str, Any]

FORMAT_VERSION = 1
DECIMALS = 4
THICKNESS = "not seen; masses are estimates that take it to be the cut's width"
"""Said wherever sizes are told."""


def number(value: float | None) -> float | None:
    """A number as it goes on disk: rounded far below any uncertainty, None where there is none (JSON knows no nan)."""
    return None if value is None or not math.isfinite(value) else round(float(value), DECIMALS)


def _numbers(values: Iterable[float] | None) -> list[float | None] | None:
    return None if values is None else [number(value) for value in values]


def _measured(name: str, measured: Measured | None) -> Json:
    if measured is None:
        return {name: None, f"{name}_u": None}
    return {name: number(measured.value), f"{name}_u": number(measured.u)}


def flag_names(flags: FryFlag) -> list[str]:
    """The flags of a fry, by their names on disk."""
    return [flag.name.lower() for flag in flags if flag.name]


def _colour(fry: Fry) -> Json:
    if fry.colour is None:
        return {"lab": None, "lab_u": None, "lab_shared_u": None}
    return {
        "lab": _numbers(fry.colour.lab),
        "lab_u": _numbers(fry.colour.u),
        "lab_shared_u": _numbers(fry.colour.shared_u),
    }


def _place(fry: Fry, scale: ColourScale) -> Json:
    place = fry_place(fry, scale)
    if place is None:
        return {"scale_place": None, "scale_place_u": None, "scale_step": None, "off_scale": None}
    return {
        "scale_place": number(place.steps),
        "scale_place_u": number(place.steps_u),
        "scale_step": place.step_name,
        "off_scale": place.off_scale,
    }


def _ends(fry: Fry) -> Json:
    """How deep a gap a straight edge laid against each end leaves, the first end first; null where it doesn't show."""
    gaps = fry.end_gaps_mm or (None, None)
    return {
        "end_gaps_mm": [None if gap is None else number(gap.value) for gap in gaps],
        "end_gaps_mm_u": [None if gap is None else number(gap.u) for gap in gaps],
    }


def _mass(fry: Fry) -> Json:
    """Estimated: no photo from above shows a thickness. The shared part moves all fries of a plate alike."""
    if fry.mass_g is None:
        return {"mass_g": None, "mass_g_u": None, "mass_g_shared_u": None}
    return {
        "mass_g": number(fry.mass_g.value),
        "mass_g_u": number(fry.mass_g.u),
        "mass_g_shared_u": number(fry.mass_g.shared_u),
    }


def _fry(fry: Fry, scale: ColourScale) -> Json:
    ends = fry.end_labs
    return {
        "id": fry.number,
        **_measured("length_mm", fry.length_mm),
        **_measured("straight_mm", fry.straight_mm),
        **_measured("width_mm", fry.width_mm),
        **_colour(fry),
        **_place(fry, scale),
        **_measured("dark_end_mm", fry.dark_end_mm),
        **_measured("bow_share", fry.bow_share),
        **_ends(fry),
        **_mass(fry),
        "whole": fry.whole,
        "flags": flag_names(fry.flags),
        "indications": {
            "bow_mm": number(fry.bow_mm),
            "area_mm2": number(fry.area_mm2),
            "body_lab": _numbers(fry.body_lab),
            "end_labs": None if ends is None else [_numbers(end) for end in ends],
            "spread_de": number(fry.spread_de),
            "dark_end_dl": number(fry.dark_end_dl),
            "spots_mm": _numbers(fry.spots_mm),
            "skin_share": number(fry.skin_share),
        },
    }


def _limit(limit: LimitDecision) -> Json:
    return {
        "key": limit.key,
        "about": limit.about,
        "title": limit.title,
        "outcome": limit.outcome.value,
        "measured": number(limit.measured),
        "measured_u": number(limit.u),
        "lower": number(limit.lower),
        "upper": number(limit.upper),
        "unit": limit.unit,
        "probability": number(limit.probability),
        "guard": number(limit.guard),
        "counted": limit.counted,
        "left_out": limit.left_out,
        "more_plates": limit.more_plates,
        "finding": limit.finding,
        "reason": limit.reason,
        "remedy": limit.remedy,
        "interval_95": _numbers((limit.low, limit.high)),
        "arithmetic": limit.arithmetic,
    }


def _terms(terms: Terms) -> Json:
    """Which question was asked, at which levels, and what was taken for how far plates differ (a claim asks them)."""
    apart = terms.apart
    known = {
        "colour_steps": number(apart.colour_steps),
        "freedom": number(apart.freedom),
        "correlation": number(apart.correlation),
        "plates": apart.plates,
    }
    return {
        "question": terms.question.value,
        "pass_from": number(terms.levels.pass_from),
        "fail_to": number(terms.levels.fail_to),
        "plates_apart": None if terms.claim else known,
    }


def verdict_record(verdict: Verdict | None) -> Json | None:
    """A verdict with every limit, as it goes on disk."""
    if verdict is None:
        return None
    return {
        "outcome": verdict.outcome.value,
        "headline": verdict.headline,
        "fries_counted": verdict.fries_counted,
        "fries_left_out": verdict.fries_left_out,
        "plates": verdict.plates,
        "terms": _terms(verdict.terms),
        "limits": [_limit(limit) for limit in verdict.limits],
    }


def long_shares_record(photos: Iterable[GradedPhoto], *, standard: Standard) -> list[Json]:
    """The share of long fries by count and by estimated mass, length by length, over photos taken as one batch."""
    return [
        {
            "length_mm": number(told.length_mm),
            "length_in": number(told.length_in),
            **_measured("by_count", told.by_count),
            **_measured("by_mass", told.by_mass),
        }
        for told in long_shares(plates_of(photos), standard)
    ]


def standard_record(standard: Standard) -> Json:
    """Which standard a result was judged by."""
    return {"name": standard.name, "version": standard.version}


def reasons_record(graded: GradedPhoto) -> list[Json]:
    """Why a photo was refused, or what is doubtful about it, the gravest first."""
    return reasons_list(graded.reasons)


def reasons_list(reasons: Iterable[Reason]) -> list[Json]:
    """Reasons in their order, ready for JSON."""
    return [{"code": one.code, "message": one.message, "hint": one.hint} for one in reasons]


def mending_record(graded: GradedPhoto, *, standard: Standard) -> Json | None:
    """What a person mended, and fries and verdict as they were without; null where nothing was mended."""
    mending = graded.mending
    if mending is None:
        return None
    return {
        "by": list(signers(mending.mends)),
        "mends": [mend_record(mend) for mend in mending.mends],
        "without": {
            "fries": [_fry(fry, standard.scale) for fry in mending.plate.fries],
            "verdict": verdict_record(mending.verdict),
        },
    }


def card_record(graded: GradedPhoto) -> Json:
    """Which card lies in a photo, and whose colours it was given: null where it is not known."""
    return {
        "serial": None if graded.serial is None else str(graded.serial),
        "values": None if graded.values is None else values_facts(graded.values),
    }


def values_facts(values: CardValues) -> Json:
    """Where a print run's colours come from."""
    return {
        "run": values.run,
        "method": values.method,
        "measured_on": values.measured_on.isoformat(),
        "expires_on": values.expires_on.isoformat(),
        "measured_by": values.measured_by,
        "instrument": values.instrument,
    }


def designations_record(photos: Iterable[GradedPhoto], *, standard: Standard) -> Json | None:
    """Which published designations the photos of a batch would meet; None where none could be judged."""
    return beside_record(held_beside(photos, standard), _limit)


def standing_record(standing: Standing | None) -> Json | None:
    """What a result may claim, why, and what would lift it."""
    if standing is None:
        return None
    return {
        "colour": standing.colour.value,
        "colour_reason": standing.colour_reason,
        "colour_lift": standing.colour_lift,
        "length": standing.length.value,
        "length_reason": standing.length_reason,
        "length_lift": standing.length_lift,
    }


def _photo_facts(graded: GradedPhoto) -> Json | None:
    photo = graded.photo
    if photo is None:
        return None
    return {
        "size_px": list(photo.size_px),
        "file_format": photo.file_format,
        "source_profile": photo.source_profile,
        "focal_35mm": number(photo.focal_35mm),
        "taken_at": photo.taken_at,
    }


def _sheet_facts(graded: GradedPhoto) -> Json | None:
    sheet = graded.sheet
    if sheet is None:
        return None
    return {
        "layout": sheet.layout.key,
        **card_record(graded),
        "hidden_tags": list(sheet.hidden_tags),
        "tag_rms_px": number(sheet.tag_rms_px),
        "focal_known": sheet.camera.focal_known,
    }


def _colour_quality(graded: GradedPhoto) -> Json | None:
    quality = graded.colour_quality
    if quality is None:
        return None
    return {
        "expected_de": number(quality.expected_de),
        "expected_de_95": number(quality.expected_de_95),
        "patches_used": quality.patches_used,
        "patches_left_out": quality.patches_left_out,
        "light_fall_off": number(quality.light_fall_off),
        "shared_lab_u": {cause: _numbers(u) for cause, u in quality.shared_lab_u.items()},
    }


def photo_record(graded: GradedPhoto, *, standard: Standard) -> Json:
    """Everything that was read from one photo, ready for JSON."""
    plate = graded.plate
    return {
        "format_version": FORMAT_VERSION,
        "photo": graded.name,
        "sha256": graded.sha256,
        "method_version": graded.method_version,
        "status": "refused" if plate is None else "measured",
        "reasons": reasons_record(graded),
        "fries": [] if plate is None else [_fry(fry, standard.scale) for fry in plate.fries],
        "left_out": [] if plate is None else [_no_fry(one) for one in plate.no_fries],
        "heaped": None if plate is None else plate.heaped,
        "thickness": THICKNESS,
        "long_shares": long_shares_record([graded], standard=standard),
        "standard": standard_record(standard),
        "verdict": verdict_record(graded.verdict),
        "mending": mending_record(graded, standard=standard),
        "standing": standing_record(graded.standing),
        "designations": designations_record([graded], standard=standard),
        "picture": _photo_facts(graded),
        "sheet": _sheet_facts(graded),
        "colour_quality": _colour_quality(graded),
    }


def _no_fry(one: NoFry) -> Json:
    """What lies among the fries and is none: its number, what it looks like, its outline in the photo."""
    return {
        "id": one.fry.number,
        "thing": one.thing.name.lower(),
        "words": one.thing.value,
        "outline_px": [[round(float(v), 1) for v in point] for point in one.fry.outline_px[::8]],
    }


def json_text(record: Json) -> str:
    """A record as JSON that people can read and every parser takes (no nan)."""
    return json.dumps(record, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def json_bytes(record: Json) -> bytes:
    """The same as UTF-8."""
    return json_text(record).encode()


def _labels(graded: GradedPhoto) -> LabelArray | None:
    if graded.plate is not None:
        return graded.plate.labels
    if graded.photo is not None:
        width, height = graded.photo.size_px
        return np.zeros((height, width), np.uint16)
    return None


def labels_png(labels: LabelArray) -> bytes:
    """(h, w) labels as a 16 bit PNG of one channel."""
    # Labels are large flat areas: the quickest compression packs them nearly as small as the slowest.
    worked, data = cv2.imencode(".png", np.ascontiguousarray(labels, np.uint16), [cv2.IMWRITE_PNG_COMPRESSION, 1])
    if not worked:
        raise GraderError("The labels could not be written as PNG.", hint="Report this with the photo, please.")
    packed: bytes = data.tobytes()
    return packed


def labels_from_png(data: bytes) -> LabelArray:
    """(h, w) labels from what `labels_png` made of them."""
    labels = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_UNCHANGED)
    if labels is None:
        raise GraderError("The labels could not be read again.", hint="Load the page again, please.")
    return frozen(np.asarray(labels, np.uint16))


def write_readings(folder: Path, stem: str, graded: GradedPhoto, *, standard: Standard) -> tuple[Path, ...]:
    """Write NAME.labels.png and NAME.json into `folder`; a photo that could not even be decoded has no labels.

    Returns
    -------
    tuple of Path
        What was written, the readings last: where they are, all is there.
    """
    written: list[Path] = []
    labels = _labels(graded)
    if labels is not None:
        written.append(folder / f"{stem}{LABELS}")
        write_whole(written[-1], labels_png(labels))
    written.append(folder / f"{stem}{READINGS}")
    write_whole(written[-1], json_bytes(photo_record(graded, standard=standard)))
    return tuple(written)
