"""What colours must reach, as data, and how far a graded folder is from it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tests.bars.main_job import Reached
from tests.scoring.colour import CHANNELS, ColourCover, SheetColours, by_sheet, covers, light_pairs
from tests.scoring.cover import LEAST_COVER, MOST_COVER
from tests.scoring.plates import PlateScore


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetBar:
    """CIE 2000 median and 95th percentile over fries, and the median size of a plate's mean error, at most."""

    de_median: float
    de_p95: float
    plate_shift: float


SHEET_BARS = {
    "card": SheetBar(de_median=1.5, de_p95=4.5, plate_shift=1.5),
    "mat": SheetBar(de_median=1.5, de_p95=4.2, plate_shift=1.0),
    "card, inks": SheetBar(de_median=2.3, de_p95=6.0, plate_shift=1.5),
    "mat, inks": SheetBar(de_median=1.9, de_p95=5.0, plate_shift=1.0),
}
MOST_BIAS = 0.6
"""Of the mean over plates, channel by channel. A handful of plates can't show a bias smaller than their own scatter."""
MOST_BETWEEN_LIGHTS_DE = 2.0
MOST_U_OVER_RMS = 1.5


def colour_reached(scores: Sequence[PlateScore]) -> Iterator[Reached]:
    """Every bar of colour that the plates say something about."""
    for sheet, told in by_sheet(scores).items():
        yield from _sheet_reached(sheet, told)
    for pair in light_pairs(scores):
        yield Reached(
            name=f"{pair.plate}: {' and '.join(pair.lights)}",
            wanted=f"<= {MOST_BETWEEN_LIGHTS_DE:g}",
            value=f"{pair.de:.2f}",
            met=pair.de <= MOST_BETWEEN_LIGHTS_DE,
        )
    yield from map(_cover_reached, covers(scores))


def _sheet_reached(sheet: str, told: SheetColours) -> Iterator[Reached]:
    bar, about = SHEET_BARS[sheet], f"{sheet} ({told.plates} plates, {told.fries} fries)"
    for figure in ("de_median", "de_p95", "plate_shift"):
        value, most = float(getattr(told, figure)), float(getattr(bar, figure))
        yield Reached(name=f"{about}: {figure}", wanted=f"<= {most:g}", value=f"{value:.2f}", met=value <= most)
    for channel, bias, u in zip(CHANNELS, told.bias, told.bias_u, strict=True):
        yield Reached(
            name=f"{about}: bias of {channel}",
            wanted=f"within {MOST_BIAS:g}, give or take two standard errors",
            value=f"{bias:+.2f} (standard error {u:.2f})",
            met=bool(abs(bias) - 2 * u <= MOST_BIAS),
        )


def _cover_reached(cover: ColourCover) -> Reached:
    return Reached(
        name=f"cover, {cover.what}",
        wanted=f"{LEAST_COVER:g} to {MOST_COVER:g} within its range, u at most {MOST_U_OVER_RMS:g} of rms",
        value=f"{cover.share:.3f} ({cover.low:.2f} to {cover.high:.2f}), u {cover.u_over_rms:.2f} of rms",
        met=cover.may_be_right and cover.u_over_rms <= MOST_U_OVER_RMS,
    )
