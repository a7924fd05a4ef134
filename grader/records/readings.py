"""What was read from one photo, as the files that other programs take: NAME.json and NAME.labels.png.

NAME.json holds per fry the measured numbers, each with its standard uncertainty (k = 1) beside it under the same name
plus `_u`; what carries no stated uncertainty stands apart under `indications`. null means: can't be measured. Where a
person mended the plate, fries and verdict are the mended ones, and `mending` holds what was done and both as they were.
"""

import json
from collections.abc import Iterable
from pathlib import Path

import cv2
import numpy as np

from grader.arrays import LabelArray, frozen
from grader.card_values import CardValues
from grader.decision import Terms, long_shares
from grader.decision.model import LimitDecision, Verdict
from grader.errors import GraderError
from grader.fries.mends import signers
from grader.grading import GradedPhoto, plates_of
from grader.reasons import Reason
from grader.records.designations import beside_record, held_beside
from grader.records.fry_record import fry_record, no_fry_record
from grader.records.json_values import Json, measured_pair, number, numbers
from grader.records.mends import mend_record
from grader.records.naming import LABELS, READINGS
from grader.records.whole_files import write_whole
from grader.standard import CAUTIONS, standard_sha256
from grader.standard.model import Standard
from grader.trueness import Standing

FORMAT_VERSION = 1
THICKNESS = "not seen; masses are estimates that take it to be the cut's width"
"""Said wherever sizes are told."""


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
        "interval_95": numbers((limit.low, limit.high)),
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
            **measured_pair("by_count", told.by_count),
            **measured_pair("by_mass", told.by_mass),
        }
        for told in long_shares(plates_of(photos), standard)
    ]


def standard_record(standard: Standard) -> Json:
    """Which standard a result was judged by, at which stage of the fries; `sha256` is that of its values."""
    return {
        "name": standard.name,
        "version": standard.version,
        "sha256": standard_sha256(standard),
        "stage": standard.stage,
        "stage_caution": CAUTIONS[standard.stage],
    }


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
            "fries": [fry_record(fry, standard.scale) for fry in mending.plate.fries],
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
        "shared_lab_u": {cause: numbers(u) for cause, u in quality.shared_lab_u.items()},
    }


def photo_record(graded: GradedPhoto, *, standard: Standard) -> Json:
    """Everything that was read from one photo, ready for JSON."""
    plate = graded.plate
    return {
        **lasting_record(graded, standard=standard),
        "fries": [] if plate is None else [fry_record(fry, standard.scale) for fry in plate.fries],
        "long_shares": long_shares_record([graded], standard=standard),
        "designations": designations_record([graded], standard=standard),
    }


def lasting_record(graded: GradedPhoto, *, standard: Standard) -> Json:
    """The same but for the fries, and for what can be reckoned from them at any time."""
    plate = graded.plate
    return {
        "format_version": FORMAT_VERSION,
        "photo": graded.name,
        "sha256": graded.sha256,
        "method_version": graded.method_version,
        "status": "refused" if plate is None else "measured",
        "reasons": reasons_record(graded),
        "left_out": [] if plate is None else [no_fry_record(one) for one in plate.no_fries],
        "heaped": None if plate is None else plate.heaped,
        "thickness": THICKNESS,
        "standard": standard_record(standard),
        "verdict": verdict_record(graded.verdict),
        "mending": mending_record(graded, standard=standard),
        "standing": standing_record(graded.standing),
        "picture": _photo_facts(graded),
        "sheet": _sheet_facts(graded),
        "colour_quality": _colour_quality(graded),
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


def readings_files(graded: GradedPhoto, *, standard: Standard) -> tuple[tuple[str, bytes], ...]:
    """The endings and bytes of a photo's files, the readings last; one that couldn't be decoded has no labels."""
    labels = _labels(graded)
    drawn = () if labels is None else ((LABELS, labels_png(labels)),)
    return (*drawn, (READINGS, json_bytes(photo_record(graded, standard=standard))))


def write_readings(folder: Path, stem: str, graded: GradedPhoto, *, standard: Standard) -> tuple[Path, ...]:
    """Write NAME.labels.png and NAME.json into `folder`; a photo that could not even be decoded has no labels.

    Returns
    -------
    tuple of Path
        What was written, the readings last: where they are, all is there.
    """
    written = []
    for ending, data in readings_files(graded, standard=standard):
        written.append(folder / f"{stem}{ending}")
        write_whole(written[-1], data)
    return tuple(written)
