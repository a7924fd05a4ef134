"""Count cartons: how heavy a tuber is on average, and whether the tubers weighed are as the carton says."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtr, stdtrit

from grader.errors import GraderError

CARTON_KG = 22.68
"""50 lb."""
_COUNTS = 30, 200


class CartonError(GraderError, ValueError):
    """No such carton, or too few tubers weighed."""


def mean_tuber_g(count: int) -> float:
    """Grams a tuber of a carton of 50 lb (22.68 kg) that holds `count` of them.

    Raises
    ------
    CartonError
        Cartons hold 30 to 200.
    """
    if not _COUNTS[0] <= count <= _COUNTS[1]:
        raise CartonError(f"A carton of {count} tubers?", hint=f"Counts run from {_COUNTS[0]} to {_COUNTS[1]}.")
    return 1000 * CARTON_KG / count


@dataclass(frozen=True, slots=True, kw_only=True)
class TubersWeighed:
    """Tubers held against their carton's count: grams; `low` to `high` holds the lot's mean with 95 % probability.

    `as_light_p` is how often tubers of the stated mean would come out so light, or lighter, by chance.
    """

    mean_g: float
    sd_g: float
    low_g: float
    high_g: float
    stated_g: float
    count_as_weighed: float
    as_light_p: float
    tubers: int


def hold_against_count(masses_g: Sequence[float], count: int) -> TubersWeighed:
    """The masses (n,) of tubers drawn at random from cartons of this count, n at least 5; Student's t.

    Raises
    ------
    CartonError
        Fewer tubers, one without mass, or no such carton.
    """
    masses = np.asarray(masses_g, float)
    if len(masses) < 5 or not (np.isfinite(masses) & (masses > 0)).all():
        raise CartonError("These are too few tubers, or one weighs nothing.", hint="Weigh at least 5, better 20.")
    n, mean, sd = len(masses), float(masses.mean()), float(masses.std(ddof=1))
    u, stated = sd / np.sqrt(n), mean_tuber_g(count)
    reach = float(stdtrit(n - 1, 0.975)) * u
    light = float(stdtr(n - 1, (mean - stated) / u)) if u else float(mean >= stated)
    return TubersWeighed(
        mean_g=mean,
        sd_g=sd,
        low_g=mean - reach,
        high_g=mean + reach,
        stated_g=stated,
        count_as_weighed=1000 * CARTON_KG / mean,
        as_light_p=light,
        tubers=n,
    )
