"""Lots by attributes: which plan holds for a lot, what came out, and how the next lot is to be inspected."""

from collections.abc import Sequence
from dataclasses import dataclass

from grader.errors import GraderError
from grader.sampling.model import CameOut, Inspection, LetteredPlans, ListedPlan, ListedPlans, Plan, Read, Switch


class PlanNotFoundError(GraderError, ValueError):
    """No published plan is for such a lot."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotPlan:
    """The plan for one lot, where it stands, and what of it was not read: `read` of each table that it comes from.

    `whole` where the plan asks for as many units as the lot has, or more: all are inspected then.
    """

    lot: int
    plan: Plan
    whole: bool
    found_at: str
    read: tuple[Read, ...]


def lettered_plan(standard: LetteredPlans, *, lot: int, level: str, aql: float, inspection: Inspection) -> LotPlan:
    """The plan for a lot of `lot` units by inspection level and AQL (nonconforming units in a hundred).

    Raises
    ------
    PlanNotFoundError
        With everything that can't be looked up.
    """
    row = next((row for row in standard.letters if row.lot_from <= lot <= row.lot_to), None)
    table = standard.tables.get(inspection)
    wrong = []
    if row is None:
        wrong.append(f"A lot of {lot} units is in no row of {standard.short_name}.")
    if level not in standard.levels:
        wrong.append(f"There is no level {level}, but {', '.join(standard.levels)}.")
    if aql not in standard.aqls:
        wrong.append(f"There is no AQL {aql:g}, but {', '.join(f'{one:g}' for one in standard.aqls)}.")
    if table is None:
        wrong.append("Inspection has stopped: no lot is accepted until things are put right.")
    if wrong or row is None or table is None:
        raise PlanNotFoundError(" ".join(wrong), hint="Choose a lot size, level and AQL that the standard has.")
    letter = row.letters[level]
    return _for_lot(
        lot,
        table.plans[letter, aql],
        found_at=f"{standard.short_name}, level {level}, letter {letter}, AQL {aql:g}, {inspection} inspection",
        read=(standard.letters_read, table.read),
    )


def listed_plans(standard: ListedPlans, *, lot: int) -> list[tuple[ListedPlan, LotPlan]]:
    """All plans that a standard lists for a lot of `lot` units.

    Raises
    ------
    PlanNotFoundError
        There is none.
    """
    rows = [row for row in standard.rows if row.lot_from <= lot <= row.lot_to]
    if not rows:
        message = f"{standard.short_name} has no plan for a lot of {lot} units."
        raise PlanNotFoundError(message, hint="Check the size of the lot.")
    return [
        (row, _for_lot(lot, row.plan, found_at=f"{standard.short_name}, {row.name}, AQL {row.aql:g}", read=(row.read,)))
        for row in rows
    ]


def _for_lot(lot: int, plan: Plan, *, found_at: str, read: tuple[Read, ...]) -> LotPlan:
    whole = plan.n >= lot
    drawn = Plan(n=lot, accept=min(plan.accept, lot), reject=min(plan.reject, lot + 1)) if whole else plan
    return LotPlan(lot=lot, plan=drawn, whole=whole, found_at=found_at, read=read)


def came_out(plan: Plan, found: int) -> CameOut:
    """What becomes of a lot of which the sample holds `found` nonconforming units.

    Raises
    ------
    PlanNotFoundError
        More were found than were drawn, or fewer than none.
    """
    if not 0 <= found <= plan.n:
        raise PlanNotFoundError(
            f"{found} nonconforming units can't be found among {plan.n}.",
            hint=f"Count the nonconforming units of exactly {plan.n} drawn by chance.",
        )
    if found <= plan.accept:
        return CameOut.ACCEPTED
    return CameOut.BETWEEN if found < plan.reject else CameOut.REJECTED


@dataclass(frozen=True, slots=True, kw_only=True)
class NextLot:
    """How the next lot is to be inspected, the rule that says so, and one that would if a person agrees to `also`."""

    inspection: Inspection
    by: Switch | None
    offered: Switch | None


def next_lot(switching: Sequence[Switch], past: Sequence[CameOut], *, reduced_agreed: bool = False) -> NextLot:
    """How the lot after these is to be inspected, if the first was inspected normally.

    A rule that leads to reduced inspection has conditions of its own that a person must see to: it is only offered,
    unless `reduced_agreed`. Lots count towards a rule only under the inspection that it leaves, in a row.
    """
    state = NextLot(inspection=Inspection.NORMAL, by=None, offered=None)
    under: list[CameOut] = []
    for lot in past:
        under.append(lot)
        rules = [rule for rule in switching if rule.leave is state.inspection and _holds(rule, under)]
        wanted = next((rule for rule in rules if reduced_agreed or rule.enter is not Inspection.REDUCED), None)
        offered = next((rule for rule in rules if rule is not wanted), None)
        if wanted is not None:
            state, under = NextLot(inspection=wanted.enter, by=wanted, offered=None), []
        else:
            state = NextLot(inspection=state.inspection, by=state.by, offered=offered)
    return state


def _holds(rule: Switch, under: Sequence[CameOut]) -> bool:
    return sum(rule.came_out in {"any", lot} for lot in under[-rule.of :]) >= rule.lots
