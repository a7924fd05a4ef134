"""What is sealed into the chain before any plate is: standard, method version, sampling plan; and the draw after it."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from grader.evidence.chain import Entry, Kind, plates_of, tag_of
from grader.evidence.drawing_lots import UNITS_AT_MOST, drawn_units, seed_of
from grader.evidence.errors import EvidenceRefused
from grader.evidence.journal import Journal
from grader.grading import METHOD_VERSION
from grader.standard import standard_sha256
from grader.standard.model import Standard

WORDS_AT_MOST = 4000


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimPlan:
    """What both sides agree on before plates are taken.

    Attributes
    ----------
    supplier, lot
        Whose lot, as its supplier numbers it.
    unit, units, draw
        What the lot is counted in ("carton"), how many it has, how many are opened.
    plates
        How many plates are photographed.
    words
        The plan in words: who takes what from where, which fryer, which oil, who is present.
    by, other_side
        Initials of who seals it, and who of the other side was told of it, and how.
    """

    supplier: str
    lot: str
    unit: str
    units: int
    draw: int
    plates: int
    words: str
    by: str
    other_side: str = ""

    @property
    def tag(self) -> str:
        """What links about this lot bear."""
        return tag_of(self.supplier, self.lot)


def seal_plan(journal: Journal, plan: ClaimPlan, standard: Standard) -> Entry:
    """Seal standard, method version and plan; plates that come later are shown to have come later.

    Raises
    ------
    EvidenceRefused
        The plan says too little.
    """
    _check(plan)
    body = {
        "by": plan.by,
        "draw": plan.draw,
        "lot": plan.lot,
        "method_version": METHOD_VERSION,
        "other_side": plan.other_side,
        "plates": plan.plates,
        "stage": standard.stage,
        "standard_name": standard.name,
        "standard_sha256": standard_sha256(standard),
        "standard_version": standard.version,
        "supplier": plan.supplier,
        "unit": plan.unit,
        "units": plan.units,
        "words": plan.words,
    }
    return journal.add("sealed", body, about=plan.tag)


def draw_in_front(journal: Journal, *, supplier: str, lot: str, words: Sequence[str], by: str) -> Entry:
    """Draw the units of the newest plan of a lot from both sides' words, and keep the draw.

    Raises
    ------
    EvidenceRefused
        No plan of that lot is sealed, or the words don't do.
    """
    tag = tag_of(supplier, lot)
    plan = sealed_plan(journal.of_kind("sealed"), tag)
    if plan is None or plan.body is None:
        hint = "Seal it first: python -m grader evidence plan."
        raise EvidenceRefused(f"No plan of the lot {lot} is sealed.", hint=hint)
    told, seed = plan.body, seed_of(words)
    units = drawn_units(seed, units=told["units"], draw=told["draw"])
    body = {"by": by, "drawn": list(units), "of": told["units"], "seed": seed, "unit": told["unit"], "words": [*words]}
    return journal.add("drawn", body, about=tag)


def sealed_plan(entries: Iterable[Entry], tag: str) -> Entry | None:
    """The newest plan of a lot; None where none was sealed."""
    return next(reversed(_of_kind(entries, "sealed", tag)), None)


def plans_in_time(entries: Sequence[Entry], tag: str) -> list[Entry]:
    """The plans of a lot that were sealed before its first plate was chained; the last of them counts.

    Chained for whatever lot: a plan of the lot that plates are moved to doesn't come before them.
    """
    plates = plates_of(entries, tag)
    return [one for one in _of_kind(entries, "sealed", tag) if not plates or one.link.turn < plates[0].link.turn]


def draws_by(plan: Entry, entries: Sequence[Entry]) -> list[Entry]:
    """The draws of the units of this plan: those after it, until another plan of its lot was sealed."""
    tag, turn = plan.link.about, plan.link.turn
    until = next((one.link.turn for one in _of_kind(entries, "sealed", tag) if one.link.turn > turn), math.inf)
    return [one for one in _of_kind(entries, "drawn", tag) if turn < one.link.turn < until]


def _of_kind(entries: Iterable[Entry], kind: Kind, tag: str) -> list[Entry]:
    return [one for one in entries if one.link.kind == kind and one.link.about == tag and one.body is not None]


def draw_holds(body: dict[str, Any]) -> bool:
    """Whether the drawn units follow from the words that were given."""
    try:
        drawn = drawn_units(seed_of(body["words"]), units=body["of"], draw=len(body["drawn"]))
        of_sides = isinstance(body["words"], list)  # a single text is one side's, letter by letter
        return of_sides and bool(body["seed"] == seed_of(body["words"]) and list(drawn) == body["drawn"])
    except (EvidenceRefused, KeyError, TypeError, AttributeError):
        return False


def _check(plan: ClaimPlan) -> None:
    named = {"supplier": plan.supplier, "lot": plan.lot, "unit": plan.unit, "words": plan.words, "by": plan.by}
    wrong = [f"{what} is blank" for what, words in named.items() if not words.strip()]
    wrong += [f"{what} is too long" for what, words in named.items() if len(words) > WORDS_AT_MOST]
    if not 1 <= plan.draw <= plan.units <= UNITS_AT_MOST:
        wrong.append(f"{plan.draw} of {plan.units} units can't be drawn")
    if plan.plates < 1:
        wrong.append("no plate is planned")
    if wrong:
        raise EvidenceRefused(f"This plan can't be sealed: {'; '.join(wrong)}.", hint="Nothing was sealed.")
