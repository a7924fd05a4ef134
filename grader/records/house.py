"""What the house keeps on this machine, as of today."""

from datetime import date, datetime

from grader.card_values import KnownValues, known_values, values_folder


def today() -> date:
    """The day by this machine's clock and time zone."""
    return datetime.now().astimezone().date()


def known_today() -> KnownValues:
    """The values of all print runs that were kept on this machine; see `load_values` for what is raised."""
    return known_values(values_folder(), on=today())
