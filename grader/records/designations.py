"""Published designations as they go on disk, beside a verdict: which the plates would meet, and each share with why."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from grader.decision.model import LimitDecision
from grader.designations import Beside, Held, Published, caution, hold_beside, load_published, outcome_words
from grader.grading import GradedPhoto, plates_of
from grader.standard.model import Standard

NOTE = (
    "Beside the house's own standard and no part of the verdict. Each speaks of lots of the product named under "
    "said_of: a plate stands for them at best. Lengths, and what counts as a fry, are as the house standard has them. "
    "A class of cross sections is published without a share: half of the fries is this program's choice."
)


def held_beside(photos: Iterable[GradedPhoto], standard: Standard) -> tuple[Beside, ...]:
    """All photos of a batch against what ships of published designations; nothing where none could be judged."""
    plates = plates_of(photos)
    return hold_beside(plates, standard, tuple(load_published().values())) if plates else ()


def beside_record(
    beside: Sequence[Beside], limit_record: Callable[[LimitDecision], dict[str, Any]]
) -> dict[str, Any] | None:
    """Each published standard with what came out; each share goes on disk as a limit does. None where there is none."""
    if not beside:
        return None
    return {"note": NOTE, "standards": [_standard(one, limit_record) for one in beside]}


def _standard(beside: Beside, limit_record: Callable[[LimitDecision], dict[str, Any]]) -> dict[str, Any]:
    published = beside.published
    return {
        "name": published.name,
        "edition": published.edition,
        "issuer": published.issuer,
        "said_of": published.said_of,
        "held": [_held(one, limit_record) for one in beside.held],
        "not_held": names_of_words(published),
    }


def _held(held: Held, limit_record: Callable[[LimitDecision], dict[str, Any]]) -> dict[str, Any]:
    row = held.row
    return {
        "name": row.name,
        "outcome": outcome_words(held.outcome),
        "mark": row.mark,
        "caution": caution(row.mark),
        "source": row.source,
        "shares": [limit_record(share) for share in held.shares],
    }


def names_of_words(published: Published) -> dict[str, list[str]]:
    """What stays a word, by what it is about."""
    named: dict[str, list[str]] = {}
    for row in published.words:
        named.setdefault(row.about, []).append(row.name)
    return named
