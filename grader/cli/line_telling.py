"""What the commands about the fry line say, for people."""

from collections.abc import Iterator
from dataclasses import asdict

from grader.line.causes import SYMPTOMS, Grade, Ranked, Ranking
from grader.line.causes.naming import FACT_TITLES
from grader.line.house_notes import NOTES
from grader.line.length_loss import Interval, LengthLoss, raw_limit, reach
from grader.line.sheet import (
    FIGURES,
    LAW,
    LAW_BELOW_C,
    WORDS,
    LineSheet,
    against_the_law,
    contradictions,
    law_holds,
    questions,
    told_fields,
)
from grader.records.database.line_sheets import BatchOnLine, KeptSheet
from grader.standard.model import Standard

_SHOWN = 6
_NOTHING_TOLD = "Nothing recorded speaks for any of them: the order is how common they are."


def field_lines() -> list[str]:
    """Every word for what is wrong, every field of the sheet, every note."""
    return [
        "What may be wrong (--seen):",
        *(f"  {word:19} {told}" for word, told in SYMPTOMS.items()),
        "The line sheet:",
        *(f"  {name:19} {title}: {', '.join(options)}" for name, (title, options) in WORDS.items()),
        *(
            f"  {name:19} {one.title}, {one.unit}; usual {one.usual[0]:g} to {one.usual[1]:g} ({one.source})"
            for name, one in FIGURES.items()
        ),
        "Notes beside it:",
        *(f"  {name:19} {one.title}{f', {one.unit}' if one.unit else ' yes or no'}" for name, one in NOTES.items()),
    ]


def sheet_lines(here: BatchOnLine, kept: KeptSheet, usual: LineSheet | None) -> list[str]:
    """What is kept of a batch, what is asked about it, and where it conflicts with a law."""
    fryer = f", fryer {here.fryer}" if here.fryer else ""
    told = told_fields(kept.sheet)
    notes = {name: value for name, value in asdict(kept.notes).items() if value is not None}
    return [
        f"Batch {here.batch_id}, {here.name}: {here.kitchen}{fryer}, {here.day}.",
        *(f"  {_title(name)}: {_value(name, value)}" for name, value in told.items()),
        *(f"  {NOTES[name].title} {_value(name, value)}" for name, value in notes.items()),
        *([] if told or notes else ["  Nothing is told of it yet: line fields names what may be."]),
        *([f"  It was in the end: {kept.cause_found}"] if kept.cause_found else []),
        *(
            f"Is that right? {FIGURES[one.field].title} is {one.value:g} {FIGURES[one.field].unit}; "
            f"usual is {one.low:g} to {one.high:g} ({one.by}). It is kept as told."
            for one in questions(kept.sheet, usual)
        ),
        *(f"Is that right? {words}" for words in contradictions(kept.sheet)),
        *_law(here, kept.sheet),
    ]


def _title(name: str) -> str:
    return FACT_TITLES.get(name, "Oil")


def _value(name: str, value: object) -> str:
    unit = FIGURES[name].unit if name in FIGURES else NOTES[name].unit if name in NOTES else ""
    told = {True: "yes", False: "no"}[value] if isinstance(value, bool) else f"{value:g}" if unit else str(value)
    return f"{told} {unit}".rstrip()


def _law(here: BatchOnLine, sheet: LineSheet) -> list[str]:
    against = [f"{_title(name)}, {getattr(sheet, name):g} °C" for name in against_the_law(sheet)]
    if not against:
        return []
    holds = f"holds in {here.zone}" if law_holds(here.zone) else "may not hold where you are"
    return [
        f"{LAW}, asks for frying below {LAW_BELOW_C:g} °C, and as low as food safety allows: it {holds}.",
        f"  Against it: {'; '.join(against)}. Common practice elsewhere finishes near 191 °C (375 °F).",
    ]


def cause_lines(told: Ranking) -> list[str]:
    """The causes in their order, each with its reasons and its check."""
    open_ones = [one for one in told.causes if one.grade is not Grade.UNLIKELY]
    cleared = [one.cause.name for one in told.causes if one.grade is Grade.UNLIKELY]
    lines = [f"Seen: {', '.join(SYMPTOMS[one] for one in told.seen)}."]
    if not any(one.reasons_for for one in open_ones):
        lines.append(_NOTHING_TOLD)
    for turn, one in enumerate(open_ones[:_SHOWN], 1):
        lines += _cause(turn, one)
    names = {one.cause.key: one.cause.name for one in told.causes}
    if len(told.seen) > 1:
        lines += [f"First of {SYMPTOMS[symptom]}: {names[key]}." for symptom, key in told.first_of.items()]
    if len(open_ones) > _SHOWN:
        lines.append(f"Less likely: {'; '.join(one.cause.name for one in open_ones[_SHOWN:])}.")
    if cleared:
        lines.append(f"Spoken against: {'; '.join(cleared)}.")
    if told.to_record:
        lines.append(f"Would tell most, and wasn't told: {'; '.join(FACT_TITLES[one] for one in told.to_record)}.")
    return [
        *lines,
        "The order is made of rules of the trade, not of probabilities: calibration/causes.toml has them all.",
        "Only who is trained for it checks or changes hot oil. Your local code comes first.",
    ]


def _cause(turn: int, one: Ranked) -> Iterator[str]:
    yield f"{turn}. {one.cause.name} ({one.grade})"
    yield from (f"     for: {reason.words} [{reason.source}]" for reason in one.reasons_for)
    yield from (f"     against: {reason.words} [{reason.source}]" for reason in one.reasons_against)
    yield f"     check: {one.cause.check}"


def length_lines(told: LengthLoss, standard: Standard) -> list[str]:
    """Where length went, and each limit on length for raw strips."""
    half, limits = reach(told.shrinkage, told.freedom), standard.limits.length_shares
    wanted = sorted({told.limit_mm, *(one.length_mm for one in limits)})
    raw = [(mm, raw_limit(mm, told.shrinkage)) for mm in wanted]
    relative = half / told.shrinkage.value
    lines = [
        f"{told.tubers} tubers, {told.whole_tubers} of them with a length of every strip, raw and finished.",
        f"Finished fries are {told.shrinkage.value:.1%} as long as raw strips, ± {half:.1%} (95 %).",
        f"Shorter than {told.limit_mm:g} mm, finished: {_share(told.short)} of the pieces. Of all pieces:",
        f"  short as cut             {_share(told.as_cut)}",
        f"  short since they shrank  {_share(told.by_shrinking)}",
        f"  short since they broke   {_share(told.by_breaking)}  ({told.pieces_a_strip:.2f} pieces a raw strip)",
        "For a finished length a raw strip must have:",
        *(f"  {mm:g} mm finished: {one.value:.1f} ± {one.value * relative:.1f} mm raw (± is 95 %)" for mm, one in raw),
    ]
    if told.cut_across is not None:
        across, measured = told.cut_across
        lines.append(f"{across} of {measured} tubers have no strip nearly as long as they are: cut across, or halved.")
    return [
        *lines,
        f"Of raw strips {told.raw_short.value:.0%} will be too short. To find why:",
        f"  line causes --seen short --told raw_short_share={told.raw_short.value:.2f}",
        "Shares hold for these tubers' lot and this cutter; intervals count tubers, not strips.",
    ]


def _share(one: Interval) -> str:
    return f"{one.value:.1%} (95 %: {one.low:.1%} to {one.high:.1%})"
