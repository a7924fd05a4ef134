"""What the commands that watch shifts do: gather plates, hold them against a baseline, tell and draw."""

from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo
from pathlib import Path

import numpy as np

from grader.consistency.baseline import freeze
from grader.consistency.batches import Measure
from grader.consistency.change_words import CAUTION, Clock, change_lines
from grader.consistency.model import PlateSummary
from grader.consistency.rules import RULES, USUAL, RuleKey
from grader.consistency.shift_watch import Asked, ShiftWatch, shift_watch
from grader.consistency.signal_words import LETTERS, baseline_line, share_line, signal_lines, untold_line
from grader.drawing.control_chart import control_chart_svg
from grader.drawing.shift_chart import Target, batch_chart, share_chart, target_of
from grader.errors import GraderError
from grader.records.database.house import House, open_kept
from grader.records.database.reading import Wanted
from grader.records.database.setting import zone_called
from grader.records.database.watching import KeptBaseline, baseline_of
from grader.records.kept_files import Signed
from grader.records.shift_baselines import keep_baseline, kept_baseline
from grader.records.shift_sources import (
    ShiftSource,
    baseline_chart,
    from_house,
    from_runs,
    kitchen_clock,
    kitchen_zone,
    one_line,
    period_of,
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
    """Whose plates: folders of results with their tables, or the records where there is no folder.

    `zone` is the name of the kitchen's time zone; empty: as the records know it, or else this machine's.
    """

    runs: tuple[Path, ...] = ()
    about: Path | None = None
    events: Path | None = None
    records: str | None = None
    kitchen: str = ""
    fryer: str = ""
    zone: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What of them: the measure, the baseline's days (None: the one that was frozen, else the earliest), rules."""

    measure: Measure
    days: tuple[date, date] | None = None
    rules: frozenset[RuleKey] = USUAL
    shares: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """The charts, where their plates came from, the kitchen's clock, and who froze the baseline, if that was used."""

    source: ShiftSource
    told: ShiftWatch
    clock: Clock
    target: Target
    frozen: KeptBaseline | None = None


def standard_at(file: Path | None, stage: StageName) -> Standard:
    """The standard that is meant, at a stage."""
    return at_stage(chosen_standard(file), stage)


def days(first: datetime | None, last: datetime | None) -> tuple[date, date] | None:
    """The days of a baseline; None where none are given.

    Raises
    ------
    WishUnclearError
        One of both is missing, or they are the wrong way round.
    """
    if first is None and last is None:
        return None
    if first is None or last is None:
        raise WishUnclearError("A baseline needs a first and a last day.", hint="Give both --from and --until.")
    if last < first:
        told = f"The last day, {last:%Y-%m-%d}, is before the first, {first:%Y-%m-%d}."
        raise WishUnclearError(told, hint="Give --from the first day and --until the last.")
    return first.date(), last.date()


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
        alone = f"Alone it is wrong once in about {rule.alone_once_in} batches."
        yield f"{LETTERS[key]}  {key.value}{' (on)' if key in USUAL else ''}: {rule.title}. {rule.means} {alone}"
    yield "Each rule more is one more way to be wrong: all together cry wolf several times as often as the three."


def watched(where: Where, wish: Wish, *, standard: Standard) -> Found:
    """The charts that are asked for.

    Raises
    ------
    GraderError
        What was asked for isn't there, or doesn't go together; too few batches to say what is usual.
    """
    zone: tzinfo | None
    if where.runs and where.records is not None:
        raise WishUnclearError(
            "--records names the records, and folders were given too.", hint="Leave the folders out, or --records."
        )
    if where.runs:
        zone = zone_called(where.zone) if where.zone else None
        source = from_runs(where.runs, standard=standard, about=where.about, events=where.events, zone=zone)
        plates, frozen, kept = one_line(source, kitchen=where.kitchen, fryer=where.fryer), None, None
    elif where.about is not None or where.events is not None:
        raise WishUnclearError(
            "Tables of batches and events go with folders of results; the records know both.",
            hint="Give folders as well, or leave --about and --events out.",
        )
    else:
        with closing(open_kept(where.records)) as house:
            source, plates, zone = _kept(house, where, standard)
            chart = baseline_chart(plates, wish.measure)
            frozen, kept = kept_baseline(house, chart), baseline_of(house, chart)
    asked = Asked(
        measure=wish.measure,
        baseline=frozen if wish.days is None else period_of(*wish.days, zone),
        rules=wish.rules,
        share_keys=_known(wish.shares, source),
    )
    told = shift_watch(plates, source.events, asked, np.random.default_rng(_SEED))
    return Found(
        source=source,
        told=told,
        clock=kitchen_clock(zone),
        target=target_of(standard, wish.measure),
        frozen=kept if wish.days is None else None,
    )


def _kept(
    house: House, where: Where, standard: Standard
) -> tuple[ShiftSource, tuple[PlateSummary, ...], tzinfo | None]:
    """What the records hold of the one line that is meant, and its kitchen's time zone."""
    source = from_house(house, Wanted(kitchen=where.kitchen, fryer=where.fryer), standard=standard)
    plates = one_line(source, kitchen=where.kitchen, fryer=where.fryer)
    zone = zone_called(where.zone) if where.zone else kitchen_zone(house, plates[0].kitchen)
    return source, plates, zone


def _known(shares: tuple[str, ...], source: ShiftSource) -> tuple[str, ...]:
    there = sorted({key for plate in source.plates for key in plate.shares})
    unknown = [key for key in shares if key not in there]
    if unknown:
        hint = f"Choose of: {', '.join(there)}." if there else "These plates were judged without any."
        raise WishUnclearError(f"No plate has a share called {unknown[0]}.", hint=hint)
    return shares


def lines(found: Found) -> Iterator[str]:
    """Everything in words."""
    told, clock, named = found.told, found.clock, found.source.name
    yield f"{told.line.words}: {len(told.batches)} batches."
    yield baseline_line(told, clock)
    if found.frozen is not None:
        yield f"That baseline was frozen {_signed(found.frozen)}: {found.frozen.why}."
    yield from signal_lines(told, clock)
    yield from change_lines(told.changed, told.measure, clock, named)
    for key, share in told.shares.items():
        yield share_line(key, share, clock, named)
    yield from map(untold_line, told.untold)
    yield CAUTION


def _signed(kept: KeptBaseline) -> str:
    return f"on {kept.frozen_at:%Y-%m-%d} UTC by {kept.by}"


def draw(out: Path, found: Found) -> list[Path]:
    """Draw the chart, and each share's beside it with the share's name behind the file's; the files written."""
    charts = {out: batch_chart(found.told, found.clock, target=found.target)}
    for key in found.told.shares:
        charts[out.with_stem(f"{out.stem}-{key}")] = share_chart(found.told, key, found.clock)
    for path, chart in charts.items():
        path.write_text(control_chart_svg(chart), encoding="utf-8")
    return list(charts)


def freeze_baseline(where: Where, wish: Wish, *, standard: Standard, signature: tuple[str, str]) -> str:
    """Freeze the baseline of a line's chart in the records, signed with initials and a reason; what to say of it."""
    with closing(open_kept(where.records)) as house:
        source, plates, zone = _kept(house, where, standard)
        from_at, to_at = (plates[0].taken_at, plates[-1].taken_at) if wish.days is None else period_of(*wish.days, zone)
        frozen = freeze(plates, wish.measure, from_at=from_at, to_at=to_at, events=source.events)
        by, why = signature
        signed = Signed(by=by, at=datetime.now(UTC), why=why)
        chart = baseline_chart(plates, wish.measure)
        earlier = baseline_of(house, chart)
        keep_baseline(house, chart, frozen, signed)
    clock = kitchen_clock(zone)
    told = f"{clock(frozen.from_at)} to {clock(frozen.to_at)}, {frozen.batches} batches ({frozen.plates} plates)"
    replaced = "" if earlier is None else f" It takes the place of the one frozen {_signed(earlier)}."
    return f"Frozen: {told}.{replaced} {frozen.caution}".rstrip()
