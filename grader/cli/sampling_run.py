"""From what was asked on the command line to plans, cases and pictures of their risks."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from grader.arrays import FloatArray
from grader.counted import counted
from grader.decision.counting import effective_number
from grader.decision.planning import ColourCase
from grader.decision.share_planning import ShareCase
from grader.decision.terms import HOUSE_DEFAULT, Question, Terms
from grader.drawing.risk_curve import Axes, Line, Mark, risk_curve_svg
from grader.errors import GraderError
from grader.sampling.lots import LotPlan, NextLot, PlanNotFoundError, lettered_plan, listed_plans, next_lot
from grader.sampling.model import CameOut, Inspection, ListedPlans
from grader.sampling.reading import LETTERED, load_lettered, load_listed
from grader.sampling.risk import operating_curve
from grader.sampling.sequential import Sequential, exactly
from grader.sampling.unit import checked_unit, why_no_fry
from grader.standard.model import ColourScale

_LETTERS = {"a": CameOut.ACCEPTED, "b": CameOut.BETWEEN, "r": CameOut.REJECTED}
_USUAL_LEVEL = "II"
_FRIES_OF_A_PLATE = 36
_POINTS = 61
_DRAWN_FROM = 1
"""Where the draws of a claim begin: the same question gets the same answer."""


def unit_counted(word: str) -> str:
    """The word for a unit; a fry is refused, with the house's own figures of why."""
    return checked_unit(word, why=fry_is_none())


def fry_is_none() -> str:
    """Why a fry is no unit, at the correlation that the house takes."""
    alike = HOUSE_DEFAULT.correlation
    worth = effective_number(np.array([_FRIES_OF_A_PLATE]), alike)
    return why_no_fry(fries=_FRIES_OF_A_PLATE, worth=worth, at_most=1 / alike)


def checked_counts(drawn: int, found: int) -> tuple[int, int]:
    """Units drawn and found nonconforming among them.

    Raises
    ------
    GraderError
        More were found than drawn.
    """
    if found > drawn:
        raise GraderError(
            f"{found} nonconforming can't be found among {drawn} drawn.", hint="Check --drawn and --found."
        )
    return drawn, found


@dataclass(frozen=True, slots=True, kw_only=True)
class LotAsked:
    """A lot to be inspected, as asked for; `past` has a letter for each earlier lot."""

    size: int
    aql: float
    level: str | None
    inspection: Inspection | None
    past: str
    reduced: bool
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedLot:
    """The plan for a lot, its AQL, and how inspection stands after the earlier lots (None where none were told)."""

    plan: LotPlan
    aql: float
    stands: NextLot | None


def plan_lot(asked: LotAsked) -> PlannedLot:
    """Look the plan up.

    Raises
    ------
    PlanNotFoundError
        No such standard, lot, level or AQL; letters that say nothing; or something that this standard doesn't know.
    """
    if asked.by == LETTERED:
        standard = load_lettered()
        stands = (
            next_lot(standard.switching, _came_out(asked.past), reduced_agreed=asked.reduced) if asked.past else None
        )
        inspection = asked.inspection or (Inspection.NORMAL if stands is None else stands.inspection)
        plan = lettered_plan(
            standard, lot=asked.size, level=asked.level or _USUAL_LEVEL, aql=asked.aql, inspection=inspection
        )
        return PlannedLot(plan=plan, aql=asked.aql, stands=stands)
    listed = load_listed().get(asked.by)
    if listed is None:
        known = ", ".join((LETTERED, *load_listed()))
        raise PlanNotFoundError(f"There are no plans of {asked.by}.", hint=f"Choose one of {known}.")
    _refuse_unknown_to(listed, asked)
    plans = [plan for row, plan in listed_plans(listed, lot=asked.size) if row.aql == asked.aql]
    if not plans:
        aqls = ", ".join(f"{one:g}" for one in sorted({row.aql for row in listed.rows}))
        raise PlanNotFoundError(f"{listed.short_name} has no AQL {asked.aql:g}.", hint=f"It has {aqls}.")
    # Of plans that leave the sample free the smallest: whoever wants less risk names a larger standard.
    return PlannedLot(plan=min(plans, key=lambda plan: plan.plan.n), aql=asked.aql, stands=None)


def _refuse_unknown_to(listed: ListedPlans, asked: LotAsked) -> None:
    """What only the lettered standard knows would be passed over in silence."""
    told = {
        "--level": asked.level,
        "--inspection": asked.inspection,
        "--past": asked.past,
        "--reduced": asked.reduced,
    }
    unknown = ", ".join(option for option, value in told.items() if value)
    if unknown:
        hint = f"Leave it out, or choose --by {LETTERED}."
        raise PlanNotFoundError(f"{listed.short_name} knows no {unknown}: its plans go by lot size and AQL.", hint=hint)


def _came_out(past: str) -> Sequence[CameOut]:
    letters = past.replace(" ", "").replace(",", "").lower()
    strange = sorted(set(letters) - set(_LETTERS))
    if strange:
        raise PlanNotFoundError(
            f"{', '.join(strange)} says nothing of a lot.", hint="Give a for accepted, b for between, r for rejected."
        )
    return [_LETTERS[letter] for letter in letters]


def lot_curve(planned: PlannedLot, *, unit: str) -> str:
    """The plan's operating characteristic for its lot, as SVG."""
    curve = operating_curve(planned.plan.plan, planned.plan.lot)
    return risk_curve_svg(
        [Line(words="share of lots that are accepted", quality=curve.quality, share=curve.accepted)],
        [Mark(quality=planned.aql / 100, words=f"AQL {planned.aql:g} %")],
        Axes(
            title=f"{planned.plan.plan.n} of {planned.plan.lot}, accept up to {planned.plan.plan.accept}",
            quality_words=f"truly nonconforming, share of the lot (unit: {unit})",
            percent=True,
        ),
    )


def sequential_curve(test: Sequential, *, unit: str) -> str:
    """What the test does with lots of each quality, as SVG: accepted, and how much of the longest course it takes."""
    shares = np.linspace(0, min(1.0, 1.5 * test.bad), _POINTS)
    courses = [exactly(test, float(one)) for one in shares]
    accepted, units = np.array([one.accepted for one in courses]), np.array([one.units for one in courses])
    drawn = f"units drawn on the average, of {test.end} at most"
    return risk_curve_svg(
        [
            Line(words="share of lots that are accepted", quality=shares, share=accepted),
            Line(words=drawn, quality=shares, share=units / test.end),
        ],
        [Mark(quality=test.good, words="ought to pass"), Mark(quality=test.bad, words="ought not to")],
        Axes(
            title="Drawn one by one",
            quality_words=f"truly nonconforming, share of the lot (unit: {unit})",
            percent=True,
        ),
    )


def colour_asked(
    scale: ColourScale, question: Question, *, fries: int, within: float, between: float | None, shared: float
) -> ColourCase:
    """Plates held against a house's target; `between` None is the house default."""
    apart = HOUSE_DEFAULT if between is None else replace(HOUSE_DEFAULT, colour_steps=between)
    return ColourCase(
        target_from=scale.target_from,
        target_to=scale.target_to,
        between=apart.colour_steps,
        within=within,
        shared=shared,
        fries=fries,
        terms=Terms(question=question, apart=apart),
    )


def share_asked(
    sense: Literal["at least", "at most"], limit: float, question: Question, *, fries: int, correlation: float | None
) -> ShareCase:
    """Plates held against a limit on a share; `correlation` None is the house default."""
    apart = HOUSE_DEFAULT if correlation is None else replace(HOUSE_DEFAULT, correlation=correlation)
    terms = Terms(question=question, apart=apart)
    return ShareCase(sense=sense, limit=limit, fries=fries, correlation=apart.correlation, terms=terms)


def colour_curve(case: ColourCase, plates: int, *, place: float) -> str:
    """How lots of any mean place come out on so many plates, as SVG."""
    reach = case.target_to - case.target_from
    places = np.linspace(min(case.target_from - reach, place), max(case.target_to + reach, place), 3 * _POINTS)
    told = case.chances(plates, places)
    return _curve(
        places,
        told.passes,
        told.fails,
        [
            Mark(quality=case.target_from, words=f"target from {case.target_from:g}"),
            Mark(quality=place, words=f"asked about: {place:g}"),
            Mark(quality=case.target_to, words=f"to {case.target_to:g}"),
        ],
        Axes(
            title=f"Mean colour, {case.terms.question} on {counted(plates, 'plate')}",
            quality_words="true mean place of the lot, steps",
            percent=False,
        ),
    )


def share_curve(case: ShareCase, plates: int, *, share: float) -> str:
    """How lots with any share come out on so many plates, as SVG."""
    low, high = min(case.limit, share), max(case.limit, share)
    wide = max(high - low, 0.1)
    shares = np.linspace(max(low - wide, 0.0), min(high + wide, 1.0), _POINTS)
    told = case.chances(plates, shares, draws())
    return _curve(
        shares,
        told.passes,
        told.fails,
        [Mark(quality=case.limit, words=f"{case.sense} {case.limit:g}"), Mark(quality=share, words="asked about")],
        Axes(
            title=f"A share, {case.terms.question} on {counted(plates, 'plate')}",
            quality_words="true share in the lot",
            percent=True,
        ),
    )


def draws() -> np.random.Generator:
    """What draws the plates of a claim."""
    return np.random.default_rng(_DRAWN_FROM)


def _curve(quality: FloatArray, passes: FloatArray, fails: FloatArray, marks: Sequence[Mark], axes: Axes) -> str:
    lines = [
        Line(words="share of lots that pass", quality=quality, share=passes),
        Line(words="share of lots that fail (the rest stays undecided)", quality=quality, share=fails),
    ]
    return risk_curve_svg(lines, marks, axes)
