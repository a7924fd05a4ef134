"""Lengths and temperatures as people choose to read them; inside the program they are mm and degrees Celsius."""

import re
from enum import StrEnum

MM_PER_INCH = 25.4
"""Exact by definition: international yard and pound agreement, 1959; NIST SP 811, appendix B.8."""


class Lengths(StrEnum):
    """The unit of lengths, as it is written."""

    MILLIMETRES = "mm"
    INCHES = "in"


class Temperatures(StrEnum):
    """The unit of temperatures, as it is written."""

    CELSIUS = "°C"
    FAHRENHEIT = "°F"


def in_lengths(mm: float, unit: Lengths) -> float:
    """A length in that unit."""
    return mm if unit is Lengths.MILLIMETRES else mm / MM_PER_INCH


def to_mm(length: float, unit: Lengths) -> float:
    """A length that was given in that unit, in mm."""
    return length if unit is Lengths.MILLIMETRES else length * MM_PER_INCH


def in_temperatures(celsius: float, unit: Temperatures) -> float:
    """A temperature in that unit (NIST SP 811, appendix B.8: degree Fahrenheit = 9/5 degree Celsius + 32)."""
    return celsius if unit is Temperatures.CELSIUS else celsius * 9 / 5 + 32


def to_celsius(temperature: float, unit: Temperatures) -> float:
    """A temperature that was given in that unit, in degrees Celsius."""
    return temperature if unit is Temperatures.CELSIUS else (temperature - 32) * 5 / 9


def length_words(mm: float, unit: Lengths, *, decimals: int | None = None) -> str:
    """Such as "71.4 mm" or "2.81 in": a tenth of a millimetre, or a hundredth of an inch, unless told otherwise."""
    usual = 1 if unit is Lengths.MILLIMETRES else 2
    return f"{in_lengths(mm, unit):.{usual if decimals is None else decimals}f} {unit}"


def temperature_words(celsius: float, unit: Temperatures) -> str:
    """Such as "175 °C" or "347 °F": whole degrees."""
    return f"{in_temperatures(celsius, unit):.0f} {unit}"


_NUMBER = r"\d+(?:\.\d+)?"
_LENGTHS = re.compile(
    rf"(?P<all>{_NUMBER}(?:(?: ± | × | to | a |, | and | y |–){_NUMBER})*) mm\b(?: \((?P<inches>{_NUMBER}) in\))?"
)
"""One length or several that share their unit: "9.5 ± 0.3 mm", "5 to 200 mm"."""
_FIGURE = re.compile(_NUMBER)


def lengths_told(text: str, unit: Lengths) -> str:
    """A sentence with each of its lengths in that unit; where it gives one in inches as well, that is taken."""
    if unit is Lengths.MILLIMETRES:
        return text
    return _LENGTHS.sub(lambda found: f"{found['inches'] or _all_inches(found['all'])} {Lengths.INCHES}", text)


def _all_inches(lengths: str) -> str:
    return _FIGURE.sub(lambda found: f"{in_lengths(float(found[0]), Lengths.INCHES):.2f}", lengths)


_DEGREES = re.compile(
    r"(?P<fell>(?:fell by|cayó(?: solo)?|separadas(?: de)?) )?"
    rf"(?P<all>-?{_NUMBER}(?:(?: to | a | and | y |–)-?{_NUMBER})?) °?C\b"
    r"(?: \((?P<told>[^()]*) °F\))?(?P<apart> (?:hotter|cooler|apart|más caliente|más frío))?"
)
"""A temperature or two, or by how much one is another: a difference has no freezing point."""
_SIGNED = re.compile(rf"-?{_NUMBER}")


def temperatures_told(text: str, unit: Temperatures) -> str:
    """A sentence with each of its temperatures in that unit; where it gives one in °F as well, that is taken."""
    return text if unit is Temperatures.CELSIUS else _DEGREES.sub(_fahrenheit, text)


def _fahrenheit(found: re.Match[str]) -> str:
    before, after = found["fell"] or "", found["apart"] or ""
    zero = in_temperatures(0, Temperatures.FAHRENHEIT) if before or after else 0.0

    def one(celsius: re.Match[str]) -> str:
        return f"{in_temperatures(float(celsius[0]), Temperatures.FAHRENHEIT) - zero:.0f}"

    return f"{before}{found['told'] or _SIGNED.sub(one, found['all'])} {Temperatures.FAHRENHEIT}{after}"
