"""What colours of a folder's plates come to: errors, what a plate's fries share, whether the stated doubt is right."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from skimage.color import deltaE_ciede2000

from tests.scoring.cover import Cover, Floats, share_held, thirds
from tests.scoring.figures import COVER_Z
from tests.scoring.plates import PlateScore

CHANNELS = ("L*", "a*", "b*")
_PAIR = re.compile(r"(.*pair\d*)-(\w+)")
_LEAST_SHARED = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetColours:
    """The plates beside one kind of sheet. Errors are readings minus truth, CIELAB.

    Attributes
    ----------
    de_median, de_p95
        CIE 2000, over the fries.
    plate_shift
        Median over plates of the length of a plate's mean error.
    bias, bias_u
        (3,) mean over plates of their mean error, and its standard error.
    """

    plates: int
    fries: int
    de_median: float
    de_p95: float
    plate_shift: float
    bias: Floats
    bias_u: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourCover(Cover):
    """Of one channel; `u_over_rms` is the median stated standard uncertainty over the actual error's rms."""

    u_over_rms: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LightPair:
    """The same fries under two lights: CIE 2000 difference of the plates' mean colours."""

    plate: str
    lights: tuple[str, str]
    de: float


def with_colours(scores: Sequence[PlateScore]) -> list[PlateScore]:
    """Those of one layer of fries whose colours were read."""
    return [score for score in scores if score.colours and score.group != "heap"]


def by_sheet(scores: Sequence[PlateScore]) -> dict[str, SheetColours]:
    """The plates beside a card and on a mat, plain and with inks."""
    groups: dict[str, list[PlateScore]] = {}
    for score in with_colours(scores):
        sheet = "mat" if score.group == "mat" else "card"
        groups.setdefault(sheet + (", inks" if score.inks else ""), []).append(score)
    return {name: _sheet_colours(plates) for name, plates in sorted(groups.items())}


def _sheet_colours(plates: Sequence[PlateScore]) -> SheetColours:
    de = np.array([value for plate in plates for value in plate.colour_de])
    means = np.array([np.mean(plate.colour_errors, axis=0) for plate in plates])
    return SheetColours(
        plates=len(plates),
        fries=len(de),
        de_median=float(np.median(de)),
        de_p95=float(np.percentile(de, 95)),
        plate_shift=float(np.median(np.linalg.norm(means, axis=1))),
        bias=means.mean(axis=0),
        bias_u=means.std(axis=0, ddof=1) / np.sqrt(len(means)) if len(means) > 1 else np.full(3, np.nan),
    )


def covers(scores: Sequence[PlateScore]) -> Iterator[ColourCover]:
    """Plain plates and those with inks: each channel, all fries and each third of them by stated uncertainty."""
    for inks in (False, True):
        plates = [score for score in with_colours(scores) if score.inks == inks]
        if not plates:
            continue
        for channel, name in enumerate(CHANNELS):
            error = [np.array([one.error[channel] for one in plate.colours]) for plate in plates]
            u = [np.array([one.u[channel] if one.u else np.nan for one in plate.colours]) for plate in plates]
            what = f"{'inks' if inks else 'plain'}, {name}"
            yield _cover(what, error, u)
            for words, chosen in thirds(u):
                of_third = [[one[which] for one, which in zip(all_of, chosen, strict=True)] for all_of in (error, u)]
                yield _cover(f"{what}, {words}", *of_third)


def _cover(what: str, error: Sequence[Floats], u: Sequence[Floats]) -> ColourCover:
    share, low, high = share_held([np.abs(e) <= COVER_Z * one for e, one in zip(error, u, strict=True)])
    errors, us = np.concatenate(list(error)), np.concatenate(list(u))
    u_over_rms = float(np.median(us) / np.sqrt(np.mean(errors**2)))
    return ColourCover(what=what, share=share, low=low, high=high, u_over_rms=u_over_rms)


def light_pairs(scores: Sequence[PlateScore]) -> Iterator[LightPair]:
    """Every two photos NAMEpair-LIGHT of one plate: the means over the fries that both read."""
    under: dict[str, dict[str, PlateScore]] = {}
    for score in with_colours(scores):
        named = _PAIR.fullmatch(score.name)
        if named:
            under.setdefault(named[1], {})[named[2]] = score
    for plate, lights in sorted(under.items()):
        names = sorted(lights)
        for k, one in enumerate(names):
            for other in names[k + 1 :]:
                a, b = ({c.number: c.read for c in lights[light].colours} for light in (one, other))
                both = sorted(a.keys() & b.keys())
                if len(both) >= _LEAST_SHARED:
                    means = [np.mean([read[number] for number in both], axis=0) for read in (a, b)]
                    yield LightPair(plate=plate, lights=(one, other), de=float(deltaE_ciede2000(*means)))
