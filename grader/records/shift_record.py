"""What a chart tells, ready for JSON: the baseline, each batch with its limits, signals, events, drift, changes."""

from collections.abc import Mapping
from dataclasses import asdict

from grader.consistency.lot_drift import Slope
from grader.consistency.shift_watch import ShareWatch, ShiftWatch
from grader.consistency.steps import Difference, EventStep
from grader.consistency.watching import Limits
from grader.consistency.what_changed import Changed
from grader.records.json_values import Json, number
from grader.records.shift_baselines import baseline_record
from grader.records.shift_sources import ShiftSource


def shift_record(told: ShiftWatch, source: ShiftSource) -> Json:
    """Batches are counted from 0, in the order of time."""
    drift = told.changed.drift
    return {
        "kitchen": told.line.kitchen,
        "fryer": told.line.fryer,
        "measure": told.measure,
        "baseline": {**baseline_record(told.watched.baseline), "chosen": told.chosen},
        "batches": _batches(told, source),
        "signals": [
            {"rule": seen.key.value, "batch": seen.at, "from_batch": seen.first, "side": seen.side.value}
            for seen in told.watched.seen
        ],
        "events": [_event(step) for step in told.changed.steps],
        "drift": {
            "in_stretches": [None if slope is None else _slope(slope) for slope in drift.slopes],
            "common": None if drift.common is None else _slope(drift.common),
            "batches_unseen": drift.unseen,
        },
        "changes": [_change(changed) for changed in told.changed.changes],
        "shares": {key: _share(share, source) for key, share in told.shares.items()},
    }


def _batches(told: ShiftWatch, source: ShiftSource) -> list[Json]:
    watched = told.watched
    return [
        {
            "batch": batch.name,
            "at": batch.at.isoformat(),
            "plates": [source.name(plate.plate) for plate in batch.plates],
            "value": number(mean.value),
            "level": number(mean.level),
            "limits": _limits(mean.limits),
            "plain_limits": _limits(mean.plain),
            "in_baseline": mean.in_baseline,
            "weighted_mean": number(slow.value),
            "weighted_mean_limits": _limits(slow.limits),
            "plates_apart": number(apart.value),
            "plates_apart_limits": _limits(apart.limits),
        }
        for batch, mean, slow, apart in zip(told.batches, watched.means, watched.slow, watched.apart, strict=True)
    ]


def _limits(limits: Limits | None) -> list[float | None] | None:
    return None if limits is None else [number(limits.low), number(limits.high)]


def _event(step: EventStep) -> Json:
    return {
        "events": [
            {**asdict(event), "at": event.at.isoformat(), "kind": event.kind.value} for event in step.part.events
        ],
        "first_batch": step.first_batch,
        "check_asked": step.check_asked,
        "first_basket": _difference(step.first),
        "step": _difference(step.step),
    }


def _difference(one: Difference | None) -> Mapping[str, float] | None:
    return None if one is None else asdict(one)


def _slope(slope: Slope) -> Json:
    return {**asdict(slope), "shown": slope.shown}


def _change(changed: Changed) -> Json:
    change, start = changed.change, changed.part.start
    return {
        "after_batch": start + change.after - 1,
        "from_batch": start + change.first - 1,
        "to_batch": start + change.last - 1,
        "probability": number(change.held),
        "by_chance": number(change.chance),
        "step": number(change.step),
        "step_u": number(change.step_u),
        "gradual": changed.gradual,
    }


def _share(share: ShareWatch, source: ShiftSource) -> Json:
    return {
        "share": number(share.baseline.share),
        "correlation": number(share.baseline.correlation),
        "baseline_plates": share.baseline.plates,
        "plates": [
            {
                "plate": source.name(point.plate),
                "at": point.at.isoformat(),
                "counted": point.n,
                "share": number(point.share),
                "limits": [number(point.low), number(point.high)],
                "plain_limits": [number(point.plain_low), number(point.plain_high)],
                "stands_out": None if point.side is None else point.side.value,
            }
            for point in share.points
        ],
    }
