"""What a house takes of a study: the most that may be off, and for how long a study counts. Its own choice, as data."""

from dataclasses import dataclass

MOST_MONTHS = 12
"""Sooner where the print run or the method changes. Common practice for calibrations, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AcceptedLimits:
    """What the house takes: the most that may be off. Its own choice; `DEFAULT_LIMITS` are data with a reason.

    Attributes
    ----------
    length_bias_mm, width_bias_mm, lab_bias
        Most bias of either sign; the whole confidence interval must lie inside.
    length_single_mm, width_single_mm
        Farthest that a limit of agreement may lie from 0.
    de_median, de_high
        CIE 2000 distance, median and 95th percentile.
    reason
        Why these, in words.
    """

    length_bias_mm: float
    length_single_mm: float
    width_bias_mm: float
    width_single_mm: float
    lab_bias: float
    de_median: float
    de_high: float
    reason: str


DEFAULT_LIMITS = AcceptedLimits(
    length_bias_mm=1.0,
    length_single_mm=4.0,
    width_bias_mm=0.5,
    width_single_mm=1.5,
    lab_bias=2.0,
    de_median=2.0,
    de_high=5.0,
    reason="House choice. Length classes are 25 mm apart, so a bias of 1 mm moves few fries over a limit; the cuts"
    " that ship allow 1.5 mm in width. Neighbouring steps of a colour scale are at least 2 CIE 2000 units apart.",
)
