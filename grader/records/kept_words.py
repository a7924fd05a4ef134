"""Kept standards in words, and ready for JSON: versions, what each changed, what it judged."""

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

from grader.records.json_values import Json
from grader.records.kept_files import Kept
from grader.records.kept_standards import uses_of
from grader.records.standard_uses import Use
from grader.standard import changes


def kept_line(kept: Kept) -> str:
    """One version in a line."""
    signed, standard = kept.signed, kept.standard
    name = f"{kept.key}@{kept.turn}  {standard.name}, version {standard.version}"
    return f"{name}: kept by {signed.by} on {signed.at:%Y-%m-%d %H:%M}"


def change_lines(versions: Sequence[Kept]) -> list[list[str]]:
    """What each version changed of that before it, a line a field."""
    later = [
        [f"  {change}" for change in changes(before.standard, after.standard)] for before, after in pairwise(versions)
    ]
    return [["  the first version"], *later]


def history_lines(folder: Path, versions: Sequence[Kept]) -> list[str]:
    """All versions, the newest first: who, when, why, what changed, what it judged."""
    told = []
    for kept, changed in reversed(list(zip(versions, change_lines(versions), strict=True))):
        told += [kept_line(kept), f"  why: {kept.signed.why}", *changed]
        told += [f"  {judged_line(uses_of(folder, kept))}", f"  sha256 {kept.sha256}"]
    return told


def judged_line(uses: Sequence[Use]) -> str:
    """What a version judged, and when."""
    if not uses:
        return "has judged nothing yet"
    plates = sum(use.plates for use in uses)
    days = f"{uses[0].at:%Y-%m-%d}", f"{uses[-1].at:%Y-%m-%d}"
    when = f"on {days[0]}" if days[0] == days[1] else f"from {days[0]} to {days[1]}"
    return f"has judged {plates} plate{'s' if plates != 1 else ''} {when}"


def kept_record(kept: Kept) -> Json:
    """One version, ready for JSON."""
    return {
        "key": kept.key,
        "turn": kept.turn,
        "name": kept.standard.name,
        "version": kept.standard.version,
        "by": kept.signed.by,
        "at": kept.signed.at.isoformat(),
        "why": kept.signed.why,
        "sha256": kept.sha256,
        "seal": kept.seal,
        "before": kept.before,
    }


def history_record(folder: Path, versions: Sequence[Kept]) -> list[Json]:
    """All versions, the first first."""
    return [
        {
            **kept_record(kept),
            "changes": [change.strip() for change in changed] if kept.turn > 1 else [],
            "plates_judged": sum(use.plates for use in uses_of(folder, kept)),
        }
        for kept, changed in zip(versions, change_lines(versions), strict=True)
    ]
