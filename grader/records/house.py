"""What the house keeps on this machine, as of today."""

from datetime import date, datetime
from pathlib import Path

from grader.card_values import KnownValues, known_values, values_folder
from grader.card_values.readings_table import BYTES_AT_MOST
from grader.trueness import Study, load_studies, studies_folder


def today() -> date:
    """The day by this machine's clock and time zone."""
    return datetime.now().astimezone().date()


def known_today() -> KnownValues:
    """The values of all print runs that were kept on this machine; see `load_values` for what is raised."""
    return known_values(values_folder(), on=today())


def kept_studies() -> tuple[Study, ...]:
    """The trueness studies that were kept on this machine; see `load_studies` for what is raised."""
    return load_studies(studies_folder())


def readings_bytes(file: Path) -> bytes:
    """A file of readings, as much of it as is ever read: one byte more tells that it is too large."""
    with file.open("rb") as opened:
        return opened.read(BYTES_AT_MOST + 1)
