"""Plans sealed before plates, and units drawn in front of both sides."""

import hashlib
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from scipy import stats

from grader.evidence.chain import Entry
from grader.evidence.commitments import (
    ClaimPlan,
    draw_holds,
    draw_in_front,
    draws_by,
    plans_in_time,
    seal_plan,
    sealed_plan,
)
from grader.evidence.drawing_lots import drawn_units, seed_of
from grader.evidence.errors import EvidenceRefused
from grader.evidence.journal import Journal
from grader.standard import standard_sha256
from tests.records.made_up import standard

PLAN = ClaimPlan(
    supplier="Oddmarsh Growers (invented)",
    lot="OM-0412",
    unit="carton",
    units=80,
    draw=5,
    plates=10,
    words="Two plates from each drawn carton, fried in the left fryer.",
    by="AB",
)


@pytest.fixture
def journal(tmp_path: Path) -> Journal:
    return Journal(folder=tmp_path, now=lambda: datetime(2026, 10, 6, 12, 0, tzinfo=UTC))


def test_a_plan_seals_standard_and_method(journal: Journal) -> None:
    entry = seal_plan(journal, PLAN, standard())
    assert entry.body is not None
    assert entry.body["standard_sha256"] == standard_sha256(standard())
    assert entry.body["method_version"]
    assert sealed_plan(journal.entries(), PLAN.tag) == entry
    assert sealed_plan(journal.entries(), "another lot") is None


@pytest.mark.parametrize(
    "change",
    [{"lot": " "}, {"words": ""}, {"draw": 81}, {"draw": 0}, {"plates": 0}, {"words": "x" * 5000}, {"units": 100_001}],
)
def test_a_plan_that_says_too_little_is_refused(journal: Journal, change: dict[str, object]) -> None:
    with pytest.raises(EvidenceRefused, match="can't be sealed"):
        seal_plan(journal, replace(PLAN, **change), standard())  # type: ignore[arg-type]
    assert journal.entries() == ()


def test_a_draw_can_be_made_again_by_hand(journal: Journal) -> None:
    seal_plan(journal, PLAN, standard())
    words = ["seven geese", "4711 and rain"]
    entry = draw_in_front(journal, supplier=PLAN.supplier, lot=PLAN.lot, words=words, by="AB")
    assert entry.body is not None
    (plan,) = plans_in_time(journal.entries(), PLAN.tag)
    seed = hashlib.sha256(b"seven geese\n4711 and rain").hexdigest()
    ranks = {hashlib.sha256(f"{seed} {k}".encode()).hexdigest(): k for k in range(1, 81)}
    assert entry.body["drawn"] == sorted(ranks[rank] for rank in sorted(ranks)[:5])
    assert draw_holds(entry.body)
    assert draws_by(plan, journal.entries()) == [entry]
    changes: tuple[dict[str, object], ...] = (
        {"drawn": [1, 2, 3, 4, 5]},
        {"words": ["a", "b"]},
        {"seed": "0" * 64},
        {"words": []},
        {"of": "x"},
    )
    for change in changes:
        assert not draw_holds({**entry.body, **change})
    one_side, drawn = "ab", list(drawn_units(seed_of("ab"), units=80, draw=5))
    assert not draw_holds({**entry.body, "words": one_side, "seed": seed_of(one_side), "drawn": drawn})


def test_a_draw_is_of_the_plan_before_it(journal: Journal) -> None:
    def drawn() -> Entry:
        return draw_in_front(journal, supplier=PLAN.supplier, lot=PLAN.lot, words=["a", "b"], by="AB")

    first = seal_plan(journal, PLAN, standard())
    draws = [drawn(), drawn()]
    second = seal_plan(journal, replace(PLAN, units=20), standard())
    journal.add("plate", {"photo": "0" * 64}, about="another lot")
    assert plans_in_time(journal.entries(), PLAN.tag) == [first, second]
    journal.add("plate", {"photo": "1" * 64}, about=PLAN.tag)
    late = seal_plan(journal, PLAN, standard())
    entries = [*journal.entries(), drawn()]
    assert plans_in_time(entries, PLAN.tag) == [first, second]
    assert [draws_by(plan, entries) for plan in (first, second, late)] == [draws, [], [entries[-1]]]


def test_a_draw_needs_both_sides_and_a_plan(journal: Journal) -> None:
    with pytest.raises(EvidenceRefused, match="No plan"):
        draw_in_front(journal, supplier="x", lot="y", words=["a", "b"], by="AB")
    for words in (["a"], ["a", " "], []):
        with pytest.raises(EvidenceRefused, match="both sides"):
            seed_of(words)
    with pytest.raises(EvidenceRefused, match="can't be drawn"):
        drawn_units("0", units=3, draw=4)


def test_every_unit_is_drawn_alike() -> None:
    """2000 draws of 5 of 40: each unit 250 times, by chi-square."""
    counts = [0] * 40
    for turn in range(2000):
        for unit in drawn_units(seed_of([f"{turn}", "x"]), units=40, draw=5):
            counts[unit - 1] += 1
    # Draws without replacement scatter a little less than chi-square's independent ones: by 35 of 39.
    statistic = sum((count - 250) ** 2 / 250 for count in counts) * 39 / 35
    assert 0.001 < stats.chi2.sf(statistic, 39) < 0.999
