"""From the readings of one card or several of a print run to the values of the run, with their uncertainty."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from grader.arrays import FloatArray, frozen
from grader.card.model import Layout
from grader.card_values.model import CardValues
from grader.card_values.readings import White, read_card
from grader.card_values.readings_table import read_table
from grader.errors import DocumentFaulty, Fault

INSTRUMENT_U = 0.5
"""CIELAB units: how far two hand-held instruments in good order differ on one patch (common practice, no source)."""
CARDS_SD = 0.5
"""CIELAB units: how far cards of one print run spread, where only one was read (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """What is to be known of a measurement beside its numbers.

    Attributes
    ----------
    run
        The print run that was measured.
    white
        What CIELAB and XYZ are relative to, where the files don't say.
    measured_on, expires_on
        See `CardValues`.
    measured_by, instrument
        Initials; what measured them, in words.
    instrument_u
        Standard uncertainty of the instrument itself, CIELAB units per channel.
    """

    run: str
    white: White | None
    measured_on: date
    expires_on: date
    measured_by: str
    instrument: str
    instrument_u: float = INSTRUMENT_U


def import_readings(files: Sequence[tuple[str, bytes]], layout: Layout, *, measurement: Measurement) -> CardValues:
    """The values of a print run from files of readings, one file a card.

    The uncertainty is that of a card that was not itself read: instrument, spread of the cards about their mean, and
    how well so few tell that mean. Of a single card the spread is taken as `CARDS_SD`.

    Parameters
    ----------
    files
        Name and bytes of each.
    layout
        The sheet that was read, as designed.

    Raises
    ------
    DocumentFaulty
        With every fault of the first file that has any, or two hold the readings of one card.
    ValueError
        There is no file.
    """
    if not files:
        raise ValueError("there must be at least one file of readings")
    cards = [read_card(read_table(data, name=name), layout, white=measurement.white) for name, data in files]
    lab = np.stack([card_lab for _, card_lab in cards])
    _refuse_twice(lab, [name for name, _ in files])
    mean = lab.mean(axis=0)
    u = _card_u(lab, measurement.instrument_u)
    count = len(layout.patches)
    field = count + 1 if layout.field_lab else None
    return CardValues(
        run=measurement.run,
        layout=layout.key,
        patch_lab=frozen(mean[:count]),
        patch_lab_u=frozen(u[:count]),
        base_lab=frozen(mean[count]),
        base_lab_u=frozen(u[count]),
        field_lab=None if field is None else frozen(mean[field]),
        field_lab_u=None if field is None else frozen(u[field]),
        method="instrument",
        measured_on=measurement.measured_on,
        expires_on=measurement.expires_on,
        measured_by=measurement.measured_by,
        instrument=measurement.instrument,
        as_read=tuple(as_read for as_read, _ in cards),
    )


def _refuse_twice(lab: FloatArray, names: Sequence[str]) -> None:
    """No two cards read alike to the last digit: one handed in twice would pass for a run without any spread."""
    for second, readings in enumerate(lab):
        first = next((one for one in range(second) if np.array_equal(lab[one], readings)), None)
        if first is not None:
            message = f"holds the same readings as {names[first]}"
            raise DocumentFaulty(
                names[second],
                (Fault(line=None, field="the file", message=message),),
                hint="Give the readings of each card once; of one card alone, one file is enough.",
            )


def _card_u(lab: FloatArray, instrument_u: float) -> FloatArray:
    """(n, 3) from readings (cards, n, 3). Two or three cards tell little of one patch: the spread is that over all."""
    cards, samples = lab.shape[:2]
    spread = np.full(3, CARDS_SD) if cards == 1 else np.sqrt(lab.var(axis=0, ddof=1).mean(axis=0))
    return np.asarray(np.tile(np.sqrt(instrument_u**2 + spread**2 * (1 + 1 / cards)), (samples, 1)))
