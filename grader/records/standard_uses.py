"""Which kept standard judged how many plates, and when: a line a run, only ever added to."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from grader.added_lines import add_line, whole_lines

USES = "judged.jsonl"


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """One run: by which values (their SHA-256), when, how many plates."""

    sha256: str
    at: datetime
    plates: int


def note_use(folder: Path, use: Use) -> None:
    """Add a line to the record in `folder`.

    Raises
    ------
    OSError
        It can't be written.
    """
    told = {"at": use.at.isoformat(timespec="seconds"), "sha256": use.sha256, "plates": use.plates}
    add_line(folder / USES, json.dumps(told))


def read_uses(folder: Path) -> Sequence[Use]:
    """All of a folder's record, the earliest first; a line that can't be read is passed over."""
    return [use for line in whole_lines(folder / USES) if (use := _use(line)) is not None]


def _use(line: str) -> Use | None:
    try:
        told = json.loads(line)
        at = datetime.fromisoformat(told["at"])
        return Use(sha256=str(told["sha256"]), at=at, plates=int(told["plates"]))
    except (ValueError, KeyError, TypeError):
        return None
