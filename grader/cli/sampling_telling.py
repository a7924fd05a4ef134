"""What the commands about sampling say, for people."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from grader.arrays import FloatArray
from grader.cli.sampling_run import PlannedLot, draws, fry_is_none
from grader.counted import counted
from grader.decision.planning import PLATES_AT_MOST, Chances, ColourCase, plates_needed
from grader.decision.share_planning import ShareCase
from grader.sampling.lots import NextLot, came_out
from grader.sampling.model import CHECK, CameOut, Switch
from grader.sampling.risk import outgoing_limit, risks
from grader.sampling.sequential import Sequential, as_wald_has_it, exactly
from grader.sampling.sequential_mean import SequentialMean, mean_exactly

_BAD_AQLS = 4
"""Without a word the consumer's risk is told at so many times the AQL (house default, no source)."""
_CAME_OUT = {
    CameOut.ACCEPTED: "Accepted",
    CameOut.BETWEEN: "Accepted, but the next lot is to be inspected normally",
    CameOut.REJECTED: "Rejected",
}


def lot_lines(planned: PlannedLot, *, unit: str, bad: float | None, found: int | None) -> list[str]:
    """The plan, what it risks, what came out, how the next lot is inspected, and what is still to be checked."""
    plan, lot, good = planned.plan.plan, planned.plan.lot, planned.aql / 100
    ought_not = min(_BAD_AQLS * good, 1.0) if bad is None else bad
    told, worst = risks(plan, good_share=good, bad_share=ought_not, lot=lot), outgoing_limit(plan, lot)
    drawn = f"Inspect all {lot}" if planned.plan.whole else f"Draw {plan.n} of {lot} by chance"
    reads = [*planned.plan.read, *(rule.read for rule in _rules(planned.stands))]
    return [
        *_stands_lines(planned.stands),
        f"{drawn}, each {unit} being one: accept with up to {plan.accept} nonconforming, reject from {plan.reject} on.",
        f"  {planned.plan.found_at}.",
        (
            f"  A lot with {_percent(good)} nonconforming ({told.good_units} of {lot}) is rejected "
            f"{_hundred(told.producer)} (producer's risk)."
        ),
        (
            f"  A lot with {_percent(ought_not)} ({told.bad_units} of {lot}) is accepted {_hundred(told.consumer)} "
            "(consumer's risk)."
        ),
        f"  Where rejected lots are sorted through, at worst {_percent(worst.limit)} nonconforming go out on average.",
        *([] if found is None else [f"{found} found: {_CAME_OUT[came_out(plan, found)]}."]),
        f"Say beforehand when a {unit} is nonconforming. {fry_is_none()}",
        *[f"{CHECK[0].upper()}{CHECK[1:]}: {read.source}." for read in dict.fromkeys(reads) if read.caution],
    ]


def _rules(stands: NextLot | None) -> list[Switch]:
    return [] if stands is None else [rule for rule in (stands.by, stands.offered) if rule is not None]


def _stands_lines(stands: NextLot | None) -> list[str]:
    if stands is None:
        return []
    lines = [f"After these lots: {stands.inspection} inspection."]
    if stands.offered is not None:
        lines.append(f"  {stands.offered.enter.capitalize()} inspection may be agreed if {stands.offered.also}.")
    return lines


def next_lines(test: Sequential, drawn: int, found: int, *, unit: str) -> list[str]:
    """What is to be done now, and what the test risks and costs."""
    state = test.state(drawn, found) if drawn else None
    good, bad = exactly(test, test.good), exactly(test, test.bad)
    by_wald = as_wald_has_it(test, 1).units, as_wald_has_it(test, -1).units
    passing = (
        f"  It ends after {test.end} at the latest. A lot with {_percent(test.good)} nonconforming is rejected "
        f"{_hundred(1 - good.accepted)}, after {good.units:.1f} units on the average; one with {_percent(test.bad)} is "
        f"accepted {_hundred(bad.accepted)}, after {bad.units:.1f}. (Wald's formulas, without an end: {by_wald[0]:.1f} "
        f"and {by_wald[1]:.1f}.)"
    )
    return [
        f"{drawn} drawn, {found} nonconforming: {_to_do(state, unit)}",
        *([_lines_after(test, drawn + 1)] if state is None else []),
        passing,
        f"Say beforehand when a {unit} is nonconforming. {fry_is_none()}",
    ]


def _to_do(state: CameOut | None, unit: str) -> str:
    told = {None: f"Take another {unit}.", CameOut.ACCEPTED: "Accept the lot.", CameOut.REJECTED: "Reject the lot."}
    return told[state]


def next_plate_lines(test: SequentialMean, places: FloatArray, *, shared: float) -> list[str]:
    """What is to be done after plates with these mean places, and what the test risks and costs."""
    state = test.state(places)
    good, bad = (mean_exactly(test, place) for place in (test.good, test.bad))
    with_shared = tuple(mean_exactly(test, place, shared=shared) for place in (test.good, test.bad))
    mean = f", {places.mean():.2f} in the mean" if len(places) else ""
    return [
        f"{counted(len(places), 'plate')}{mean}: {_to_do(state, 'plate')}",
        (
            f"  It ends after {test.end} at the latest. A lot at {test.good:g} is rejected "
            f"{_hundred(1 - good.accepted)}, after {good.units:.1f} plates on the average; one at {test.bad:g} "
            f"is accepted {_hundred(bad.accepted)}, after {bad.units:.1f}."
        ),
        (
            f"  With the {shared:g} steps that all its photos share: {_hundred(1 - with_shared[0].accepted)} and "
            f"{_hundred(with_shared[1].accepted)}. No plate lessens those: better light and a measured card do."
        ),
    ]


def _lines_after(test: Sequential, drawn: int) -> str:
    accept, reject = test.accept_number(drawn), test.reject_number(drawn)
    down = "it can't be accepted yet" if accept is None else f"accept with up to {accept}"
    up = "nor rejected" if reject is None else f"reject from {reject} on"
    return f"  After {drawn}: {down}, {up}."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """How good the lot is that was asked about, and the limit next to it; the same in words, and what was taken."""

    quality: float
    limit: float
    good: bool
    words: str
    taken: str
    stuck: str


def colour_lines(case: ColourCase, *, place: float, wanted: float) -> tuple[int, list[str]]:
    """The plates to draw a curve for, and what is to be said."""
    upper = place > (case.target_from + case.target_to) / 2
    asked = _Asked(
        quality=place,
        limit=case.target_to if upper else case.target_from,
        good=case.target_from <= place <= case.target_to,
        words=f"A lot whose true mean place is {place:g} (target {case.target_from:g} to {case.target_to:g})",
        taken=(
            f"{case.between:g} steps between plates, {case.within:g} between the {case.fries} fries of a plate, "
            f"{case.shared:g} shared by all photos"
        ),
        stuck="What all photos share no plate lessens: better light and a card that was measured do.",
    )
    return _plates_lines(lambda plates, at: case.chances(plates, np.array([at])), case, asked, wanted)


def share_lines(case: ShareCase, *, share: float, wanted: float) -> tuple[int, list[str]]:
    """The same for a share."""
    asked = _Asked(
        quality=share,
        limit=case.limit,
        good=share <= case.limit if case.sense == "at most" else share >= case.limit,
        words=f"A lot with a true share of {_percent(share)} ({case.sense} {_percent(case.limit)})",
        taken=(
            f"{case.fries} fries a plate, correlated by {case.correlation:g}, each surely counted; where many lie near "
            f"a threshold it takes more"
        ),
        stuck="It lies too near the limit.",
    )
    return _plates_lines(lambda plates, at: case.chances(plates, np.array([at]), draws()), case, asked, wanted)


def _plates_lines(
    chances: Callable[[int, float], Chances], case: ColourCase | ShareCase, asked: _Asked, wanted: float
) -> tuple[int, list[str]]:
    def as_wanted(plates: int) -> float:
        told = chances(plates, asked.quality)
        return float((told.passes if asked.good else told.fails)[0])

    needed, comes_out = (
        plates_needed(as_wanted, wanted, at_least=case.least_plates),
        "passes" if asked.good else "fails",
    )
    plates = needed.plates or PLATES_AT_MOST
    at_limit, levels = chances(plates, asked.limit), case.terms.levels
    if needed.plates is not None:
        first = f"{asked.words}: {counted(plates, 'plate')}. It then {comes_out} {_hundred(needed.chance)}."
    else:
        first = (
            f"{asked.words}: not even {plates} plates do. With those it {comes_out} {_hundred(needed.chance)}, "
            f"{_hundred(wanted)} was wanted. {asked.stuck}"
        )
    risk = (
        f"  With {counted(plates, 'plate')} a lot right on the limit passes {_hundred(float(at_limit.passes[0]))} and "
        f"fails {_hundred(float(at_limit.fails[0]))} ({case.terms.question}: pass from {levels.pass_from:g}, fail to "
        f"{levels.fail_to:g})."
    )
    return plates, [first, risk, f"  Taken: {asked.taken}."]


def _percent(share: float) -> str:
    return f"{100 * share:.3g} %"


def _hundred(chance: float) -> str:
    return f"{100 * chance:.3g} times in 100"
