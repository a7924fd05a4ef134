"""A kitchen's own batches of which somebody told which cause it was in the end."""

from typing import TYPE_CHECKING, cast

from sqlalchemy import select

from grader.line.causes import Cause, load_causes, seen_in
from grader.line.causes.learning import ToldCase, learnt_causes
from grader.records.database.house import House
from grader.records.database.house_tables import Kitchen
from grader.records.database.line_tables import LineSheetRow
from grader.records.database.newest import newest, thing_id
from grader.records.database.plate_tables import Batch, BatchDecision
from grader.records.judged_batches import limits_of_record

if TYPE_CHECKING:
    from grader.standard.model import StageName

_CASES_AT_MOST = 500


def told_cases(house: House, kitchen: str, *, but: int | None = None) -> tuple[ToldCase, ...]:
    """The latest of them, at most 500, each with what its newest verdict shows; those without a verdict are left out.

    `but` is a batch that is left out: the one that is being looked at.
    """
    here = select(thing_id(Kitchen)).where(newest(Kitchen), Kitchen.name == kitchen)
    row, decision = LineSheetRow, BatchDecision
    asked = (
        select(row.batch_id, row.cause_found, decision.verdict, decision.stage)
        .join(Batch, thing_id(Batch) == row.batch_id)
        .join(decision, decision.batch_id == row.batch_id)
        .where(newest(row), newest(Batch), Batch.kitchen_id.in_(here), row.cause_found != "")
        .order_by(row.id.desc(), decision.id.desc())
        .limit(_CASES_AT_MOST)
    )
    cases: dict[int, ToldCase] = {}
    with house.reading() as connection:
        for batch_id, cause, verdict, stage in connection.execute(asked).all():
            if verdict is not None and batch_id not in cases and batch_id != but:
                seen = seen_in(limits_of_record(verdict["limits"]), cast("StageName", stage))
                cases[batch_id] = ToldCase(seen=frozenset(one for one, so in seen.items() if so), cause=cause)
    return tuple(cases.values())


def causes_of_kitchen(house: House, kitchen: str, *, but: int | None = None) -> tuple[Cause, ...]:
    """The causes that ship, with what this kitchen's own history says of how common they are."""
    return learnt_causes(load_causes(), told_cases(house, kitchen, but=but))
