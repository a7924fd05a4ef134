"""What the commands that watch shifts do: gather plates, hold them against a baseline, tell and draw."""

from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path

import numpy as np

from grader.consistency.baseline import freeze
from grader.consistency.batches import Measure
from grader.consistency.change_words import CAUTION, change_lines
from grader.consistency.rules import RULES, USUAL, RuleKey
from grader.consistency.shift_watch import Asked, Period, ShiftWatch, shift_watch
from grader.consistency.signal_words import LETTERS, baseline_line, share_line, signal_lines
from grader.drawing.control_chart import control_chart_svg
from grader.drawing.shift_chart import batch_chart, share_chart
from grader.errors import GraderError
from grader.records.database.house import open_house
from grader.records.database.reading import Wanted
from grader.records.database.setting import zone_called
from grader.records.kept_files import Signed
from grader.records.shift_baselines import keep_baseline, kept_baseline
from grader.records.shift_sources import (
    ShiftSource,
    baseline_chart,
    from_house,
    from_runs,
    kitchen_clock,
    one_line,
)
from grader.records.standards import chosen_standard
from grader.standard import Standard, at_stage
from grader.standard.model import StageName

_SEED = 0
"""A chance is found by drawing; the same plates are to give the same one each time."""


class WishUnclearError(GraderError, ValueError):
    """What was asked for doesn't go together."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Where:
    """Whose plates: folders of results with their tables, or the records where there is no folder."""

    zone: tzinfo
    runs: tuple[Path, ...] = ()
    about: Path | None = None
    events: Path | None = None
    records: str | None = None
    kitchen: str = ""
    fryer: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What of them: the measure, the baseline's period (None: the one that was frozen, else the earliest), rules."""

    measure: Measure
    period: Period | None = None
    rules: frozenset[RuleKey] = USUAL
    shares: tuple[str, ...] = ()


def zone_of(name: str) -> tzinfo:
    """A zone by its name; without one, this machine's."""
    if name:
        return zone_called(name)
    here = datetime.now().astimezone().tzinfo
    return UTC if here is None else here


def standard_at(file: Path | None, stage: StageName) -> Standard:
    """The standard that is meant, at a stage."""
    return at_stage(chosen_standard(file), stage)


def period(first_day: datetime | None, last_day: datetime | None, zone: tzinfo) -> Period | None:
    """From the start of one day to the end of another by the kitchen's clock.

    Raises
    ------
    WishUnclearError
        One of both is missing, or they are the wrong way round.
    """
    if first_day is None and last_day is None:
        return None
    if first_day is None or last_day is None or last_day < first_day:
        raise WishUnclearError("A baseline needs a first and a last day.", hint="Give both --from and --until.")
    end = last_day.replace(tzinfo=zone) + timedelta(days=1)
    return first_day.replace(tzinfo=zone).astimezone(UTC), end.astimezone(UTC) - timedelta(microseconds=1)


def rules(names: Sequence[str] | None) -> frozenset[RuleKey]:
    """The rules of these names; without any, the usual ones.

    Raises
    ------
    WishUnclearError
        There is no rule of a name.
    """
    if not names:
        return USUAL
    unknown = [name for name in names if name not in set(RuleKey)]
    if unknown:
        raise WishUnclearError(f"There is no rule called {unknown[0]}.", hint=f"Choose of: {', '.join(RuleKey)}.")
    return frozenset(RuleKey(name) for name in names)


def rule_lines() -> Iterator[str]:
    """All rules, each with what it means and whether it is on."""
    for key, rule in RULES.items():
        yield f"{LETTERS[key]}  {key.value}{' (on)' if key in USUAL else ''}: {rule.title}. {rule.means}"
    yield "Each rule more is one more way to be wrong: all together cry wolf several times as often as the three."


def watched(where: Where, wish: Wish, *, standard: Standard) -> tuple[ShiftSource, ShiftWatch]:
    """The charts that are asked for, with where their plates came from."""
    frozen = None
    if where.runs:
        source = from_runs(where.runs, standard=standard, about=where.about, events=where.events, zone=where.zone)
        plates = one_line(source, kitchen=where.kitchen, fryer=where.fryer)
    else:
        if where.about is not None or where.events is not None:
            raise WishUnclearError(
                "Tables of batches and events go with folders of results; the records know both.",
                hint="Give folders as well, or leave --about and --events out.",
            )
        with closing(open_house(where.records)) as house:
            source = from_house(house, Wanted(kitchen=where.kitchen, fryer=where.fryer), standard=standard)
            plates = one_line(source, kitchen=where.kitchen, fryer=where.fryer)
            frozen = kept_baseline(house, baseline_chart(plates, wish.measure))
    asked = Asked(
        measure=wish.measure, baseline=wish.period or frozen, rules=wish.rules, share_keys=_known(wish.shares, source)
    )
    return source, shift_watch(plates, source.events, asked, np.random.default_rng(_SEED))


def _known(shares: tuple[str, ...], source: ShiftSource) -> tuple[str, ...]:
    there = sorted({key for plate in source.plates for key in plate.shares})
    unknown = [key for key in shares if key not in there]
    if unknown:
        raise WishUnclearError(f"No plate has a share called {unknown[0]}.", hint=f"Choose of: {', '.join(there)}.")
    return shares


def lines(told: ShiftWatch, source: ShiftSource, zone: tzinfo) -> Iterator[str]:
    """Everything in words."""
    clock = kitchen_clock(zone)
    yield f"{told.line.words}: {len(told.batches)} batches."
    yield baseline_line(told, clock)
    yield from signal_lines(told, clock)
    yield from change_lines(told.changed, told.measure, clock, source.name)
    for key, share in told.shares.items():
        yield share_line(key, share, clock, source.name)
    yield CAUTION


def draw(out: Path, told: ShiftWatch, zone: tzinfo) -> list[Path]:
    """Draw the chart, and each share's beside it with the share's name behind the file's; the files written."""
    clock = kitchen_clock(zone)
    charts = {out: batch_chart(told, clock)}
    charts |= {out.with_stem(f"{out.stem}-{key}"): share_chart(told, key, clock) for key in told.shares}
    for path, chart in charts.items():
        path.write_text(control_chart_svg(chart), encoding="utf-8")
    return list(charts)


def freeze_baseline(where: Where, wish: Wish, *, standard: Standard, signature: tuple[str, str]) -> str:
    """Freeze the baseline of a line's chart in the records; what to say of it."""
    by, why = signature
    clock = kitchen_clock(where.zone)
    with closing(open_house(where.records)) as house:
        source = from_house(house, Wanted(kitchen=where.kitchen, fryer=where.fryer), standard=standard)
        plates = one_line(source, kitchen=where.kitchen, fryer=where.fryer)
        from_at, to_at = wish.period or (plates[0].taken_at, plates[-1].taken_at)
        frozen = freeze(plates, wish.measure, from_at=from_at, to_at=to_at, events=source.events)
        signed = Signed(by=by, at=datetime.now(UTC), why=why)
        keep_baseline(house, baseline_chart(plates, wish.measure), frozen, signed)
    told = (
        f"Frozen: {clock(frozen.from_at)} to {clock(frozen.to_at)}, {frozen.batches} batches ({frozen.plates} plates)."
    )
    return f"{told} {frozen.caution}".rstrip()
