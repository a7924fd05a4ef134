"""The serial of a printed sheet: its print run and its number in it; as people write it, and as its QR code holds it.

A serial reads K7Q2X-014-T: the run (five signs), the number (001 to 999), a check sign. Values are measured for a run,
so a slip of the pen must not lead to another run's values: the check sign finds every single wrong sign, and every
swap of two signs within run or number. Of signs that are easily taken for each other (0 O, 1 I L, 2 Z, 5 S, 8 B, U V)
runs have one at most, and no vowel, so that none spells a word.

The check sign stands for the sum of each sign's value times its place (from 1), modulo the number of signs. That number
is a prime, and so no slip of those two kinds cancels out; ISBN-10 (ISO 2108) is checked the same way, modulo 11.
"""

import re
from dataclasses import dataclass

import numpy as np

from grader.arrays import PixelArray
from grader.card.model import FoundSheet
from grader.card.qr import code_texts
from grader.errors import GraderError

SIGNS = "23456789CDFGHJKMNPQRTWX"
"""Of runs and checks; a sign's value is its place among them, from 0. There must be a prime number of them."""
MOST_PER_RUN = 999

_RUN_LENGTH = 5
_WRITTEN = re.compile(rf"([{SIGNS}]{{{_RUN_LENGTH}}})([0-9]{{3}})([{SIGNS}])")


class SerialFaulty(GraderError, ValueError):
    """What was written is no serial, or one with a slip in it."""


@dataclass(frozen=True, slots=True, order=True)
class Serial:
    """One printed sheet.

    Raises
    ------
    SerialFaulty
        The run has other signs than `SIGNS` or not five of them, or the number lies outside 1 to 999.
    """

    run: str
    number: int

    def __post_init__(self) -> None:
        if not re.fullmatch(rf"[{SIGNS}]{{{_RUN_LENGTH}}}", self.run):
            raise SerialFaulty(f"{self.run} is no name of a print run.", hint=_RUN_HINT)
        if not 1 <= self.number <= MOST_PER_RUN:
            raise SerialFaulty(
                f"{self.number} is no number of a sheet in its run.",
                hint=f"Numbers go from 1 to {MOST_PER_RUN}; begin a new run after that.",
            )

    def __str__(self) -> str:
        return f"{self.run}-{self.number:03d}-{_check_sign(self.run, self.number)}"


_RUN_HINT = f"A run is named by {_RUN_LENGTH} of these signs: {SIGNS}."
_SERIAL_HINT = "Read it again from the sheet: it looks like this one, K7Q2X-014-T, and its last sign finds a slip."


def draw_run(generator: np.random.Generator) -> str:
    """A name for a new print run: one of about 6.4 million, so that two kitchens hardly ever draw the same."""
    return "".join(SIGNS[k] for k in generator.integers(len(SIGNS), size=_RUN_LENGTH))


def parse_serial(text: str) -> Serial:
    """The serial that somebody typed; capitals, spaces and hyphens don't matter.

    Raises
    ------
    SerialFaulty
        It isn't one, or its check sign doesn't fit: there is a slip in it.
    """
    written = _WRITTEN.fullmatch(re.sub(r"[\s-]", "", text).upper())
    if written is None:
        raise SerialFaulty(f"{text.strip()!r} is no serial of a card or mat.", hint=_SERIAL_HINT)
    serial = Serial(written[1], int(written[2]))
    if _check_sign(serial.run, serial.number) != written[3]:
        raise SerialFaulty(f"There is a slip in the serial {text.strip()!r}.", hint=_SERIAL_HINT)
    return serial


def serial_payload(layout_key: str, serial: Serial) -> str:
    """What a sheet's QR code holds: the layout's key and the serial, a space between.

    In capitals: a QR code packs capitals, digits, spaces and hyphens closest. Source: ISO/IEC 18004, alphanumeric mode.
    """
    return f"{layout_key.upper()} {serial}"


def parse_payload(text: str) -> tuple[str, Serial]:
    """The layout's key and the serial out of a QR code.

    Raises
    ------
    SerialFaulty
        The code is not one of a sheet.
    """
    key, _, serial = text.partition(" ")
    return key.lower(), parse_serial(serial)


def read_serial(pixels: PixelArray, sheet: FoundSheet) -> Serial | None:
    """The serial of a sheet in a photo; None where it carries none or where its code can't be read. Never raises.

    Parameters
    ----------
    pixels
        (h, w, 3) RGB, sRGB-encoded, uint8 or uint16: the photo in which the sheet was found.
    """
    if sheet.layout.qr is None:
        return None
    for text in code_texts(pixels, sheet, sheet.layout.qr):
        try:
            key, serial = parse_payload(text)
        except SerialFaulty:
            continue
        if key == sheet.layout.key:
            return serial
    return None


def _check_sign(run: str, number: int) -> str:
    values = [*(SIGNS.index(sign) for sign in run), *(int(digit) for digit in f"{number:03d}")]
    return SIGNS[sum(place * value for place, value in enumerate(values, start=1)) % len(SIGNS)]
