"""What a kept study of the method says: quantity by quantity, in words and ready for JSON."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from grader.consistency.gauge.anova import StudyUnfinishedError
from grader.consistency.gauge.mean_squares import Component
from grader.consistency.gauge.model import Factor, varied
from grader.consistency.gauge.study import StudyResult, planned_result
from grader.consistency.gauge.words import missing_words, result_lines
from grader.consistency.quantities import QUANTITIES, QuantityKey
from grader.records.gauge_studies import KeptStudy
from grader.records.json_values import Json, number


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Which quantities are asked about, and the range that the readings of one are held against, where not its own."""

    quantities: Sequence[QuantityKey]
    tolerance: float | None


def results(study: KeptStudy, asked: Asked) -> Mapping[QuantityKey, StudyResult | StudyUnfinishedError]:
    """What a study says of each quantity; where it can't say anything yet, why not."""
    scale = study.standard.scale
    told: dict[QuantityKey, StudyResult | StudyUnfinishedError] = {}
    for key in asked.quantities:
        own = scale.target_to - scale.target_from if key == "place" else None
        try:
            told[key] = planned_result(
                study.plan, study.means, quantity=key, tolerance=own if asked.tolerance is None else asked.tolerance
            )
        except StudyUnfinishedError as error:
            told[key] = error
    return told


def varied_in(study: KeptStudy) -> tuple[Factor, ...]:
    """What was not the same all along: people, phones, lights."""
    return varied({photo.condition for photo in study.plan.photos})


def study_lines(study: KeptStudy, told: Mapping[QuantityKey, StudyResult | StudyUnfinishedError]) -> Iterator[str]:
    """A study in words: what is missing, then quantity by quantity."""
    yield missing_words(study.missing, len(study.plan.photos))
    factors = varied_in(study)
    for key, result in told.items():
        yield ""
        if isinstance(result, StudyUnfinishedError):
            yield f"{QUANTITIES[key].title}: can't be told yet. {result}"
        else:
            yield from result_lines(result, varied=factors)


def study_record(study: KeptStudy, told: Mapping[QuantityKey, StudyResult | StudyUnfinishedError]) -> Json:
    """A study ready for JSON."""
    return {
        "planned_on": study.planned_on.isoformat(),
        "layout": study.plan.layout,
        "keeps": study.plan.keeps,
        "photos": len(study.plan.photos),
        "missing": [photo.number for photo in study.missing],
        "quantities": {
            key: {"unfinished": str(result)} if isinstance(result, StudyUnfinishedError) else _result(result)
            for key, result in told.items()
        },
    }


def _result(result: StudyResult) -> Json:
    anova, drift = result.anova, result.drift
    return {
        "unit": result.quantity.unit,
        "tolerance": number(result.tolerance),
        "percent_tolerance": number(result.percent_tolerance),
        "percent_study": number(result.percent_study),
        "grades": result.grades,
        "fitness": result.fitness.value,
        "plates": result.plates,
        "left_out": list(result.left_out),
        "interaction_pooled": anova.pooled,
        "sd": {
            "repeatability": _sd(anova.repeatability),
            "conditions": _sd(anova.conditions),
            **{str(factor): _sd(component) for factor, component in anova.by_factor.items()},
            "interaction": None if anova.interaction is None else _sd(anova.interaction),
            "reproducibility": _sd(anova.reproducibility),
            "method": _sd(anova.method),
            "plates": _sd(anova.plates),
        },
        "anova": [
            {
                "source": line.name,
                "squares": number(line.squares),
                "freedom": line.freedom,
                "f": number(line.f),
                "probability": number(line.probability),
            }
            for line in anova.table
        ],
        "drift_per_photo": None
        if drift is None
        else {"value": number(drift.per_photo), "low": number(drift.low), "high": number(drift.high)},
    }


def _sd(component: Component) -> Json:
    return {"value": number(component.sd), "low": number(component.low**0.5), "high": number(component.high**0.5)}
