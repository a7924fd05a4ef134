"""Every error that this project raises on purpose, as one tree; each carries a hint that says what to do.

GraderError
├── PhotoRefused              a photograph that can't be judged (`code` is the reason code on disk); gates raise it
│   ├── PhotoUnreadable       the bytes are no usable picture: not an image, truncated, animated, too small, too large
│   ├── PhotoQualityPoor      blurred, overexposed, underexposed
│   ├── CardUnusable          no card, a card of another house, partly hidden, with a reflection on it
│   └── ColourFitPoor         the card's patches and their known colours don't agree well enough
└── DocumentFaulty            a standard, a layout file, a list of mends: all its faults at once
"""

from collections.abc import Sequence
from dataclasses import dataclass

from grader.printable import printable


class GraderError(Exception):
    """The root: `message` says what is wrong, `hint` what to do about it."""

    def __init__(self, message: str, *, hint: str) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint

    def __str__(self) -> str:
        return f"{self.message} {self.hint}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What is wrong or doubtful about a photo, what to do about it, and whether it can't be judged for it."""

    code: str
    message: str
    hint: str
    refuses: bool = False


class PhotoRefused(GraderError, ValueError):
    """A photograph that can't be judged; `code` is its reason code, `others` what else was found, gravest first."""

    def __init__(self, message: str, *, hint: str, code: str, others: Sequence[Finding] = ()) -> None:
        super().__init__(message, hint=hint)
        self.code = code
        self.others = tuple(others)


class PhotoUnreadable(PhotoRefused):
    """The bytes are no usable picture."""


class PhotoQualityPoor(PhotoRefused):
    """The picture is blurred, overexposed or underexposed."""


class CardUnusable(PhotoRefused):
    """The printed card is missing, unknown, partly hidden or reflecting."""


class ColourFitPoor(PhotoRefused):
    """The patches as photographed and their known colours don't agree well enough."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault of a document: where (`line` from 1, None where it can't be told), which field, what is wrong."""

    line: int | None
    field: str
    message: str

    def __str__(self) -> str:
        where = f"line {self.line}, " if self.line is not None else ""
        return f"{where}{self.field}: {self.message}"


def dotted(place: Sequence[str | int]) -> str:
    """The place of a fault as a person writes it: keys with dots between, entries of a list counted from 1."""
    return "".join(f"[{part + 1}]" if isinstance(part, int) else f".{part}" for part in place).lstrip(".")


class DocumentFaulty(GraderError, ValueError):
    """A document with faults, all of them reported at once."""

    def __init__(self, name: str, faults: tuple[Fault, ...], *, hint: str) -> None:
        lines = "\n".join(f"  {printable(str(fault))}" for fault in faults)
        super().__init__(f"{name} has {len(faults)} fault(s):\n{lines}\n", hint=hint)
        self.name = name
        self.faults = faults
