"""Which plates to fry: a first design around the house's own guess, and where one more plate would teach the most."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.line.browning import hotter
from grader.line.trial import COLDEST_C, LONGEST_S, Fitted, TrialError, Tried

_ENERGY = 83.0
"""kJ/mol, of browning: as in `browning_fit`; it only places plates."""
_TIMES = 0.75, 1.0, 1.3
_AT_CENTRE = 3
_HOTTEST_C = 195.0
"""No plate is planned hotter (common practice: finishing is near 191 C; where a law asks for less, give less)."""
_GRID = 13


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One plate to fry."""

    time_s: float
    celsius: float


def plan_trial(*, guess_s: float, celsius: float, apart_c: float, seed: int) -> tuple[Setting, ...]:
    """Twelve plates around a guess: three temperatures by three times, and three more at the guess, in drawn order.

    At other temperatures times are longer or shorter so that colours stay near the target. Repeated plates show the
    noise; the drawn order keeps oil that ages, and cooks who tire, from passing for time or temperature.

    Raises
    ------
    TrialError
        A guess that can't be, plates hotter than 195 C, or ones that no trial reads: oil below 100 C, over an hour.
    """
    if not (10 <= guess_s <= 1800 and 2 <= apart_c <= 25):
        raise TrialError(
            f"{guess_s:g} s, temperatures {apart_c:g} C apart: no trial can be planned so.",
            hint="Give 10 to 1800 s, and temperatures 2 to 25 C apart.",
        )
    if celsius + apart_c > _HOTTEST_C:
        raise TrialError(f"That would ask for {celsius + apart_c:g} C.", hint=f"Stay at or below {_HOTTEST_C:g} C.")
    if celsius - apart_c < COLDEST_C:
        raise TrialError(
            f"That would ask for {celsius - apart_c:g} C.",
            hint=f"Stay at or above {COLDEST_C} C: colder oil fries nothing.",
        )
    settings = [
        Setting(time_s=round(guess_s * times * _as_brown(there, celsius)), celsius=there)
        for there in (celsius - apart_c, celsius, celsius + apart_c)
        for times in _TIMES
    ]
    settings += [Setting(time_s=round(guess_s), celsius=celsius)] * _AT_CENTRE
    longest_s = max(one.time_s for one in settings)
    if longest_s > LONGEST_S:
        hint = "Give a shorter time, or temperatures less far apart."
        raise TrialError(f"That would ask for {longest_s:g} s in the oil.", hint=hint)
    order = np.random.default_rng(seed).permutation(len(settings))
    return tuple(settings[turn] for turn in order)


def _as_brown(there_c: float, celsius: float) -> float:
    """How much longer it takes there until a fry is as brown."""
    return float(np.exp(_ENERGY * (hotter(celsius) - hotter(there_c))))


def next_plate(fit: Fitted, *, place: float, celsius: float) -> Setting:
    """The plate, of those between the temperatures and times tried, after which the time until `place` is surest."""
    candidates = candidate_plates(fit.tried)
    after = log_time_u_after(fit, candidates, place=place, celsius=celsius)
    return candidates[int(np.argmin(after))]


def candidate_plates(tried: Tried) -> tuple[Setting, ...]:
    """A grid over what was tried: beyond it nothing is known of how to cook."""
    return tuple(
        Setting(time_s=float(time_s), celsius=float(celsius))
        for celsius in np.linspace(tried.coldest_c, tried.hottest_c, _GRID)
        for time_s in np.geomspace(tried.shortest_s, tried.longest_s, _GRID)
    )


def log_time_u_after(fit: Fitted, settings: Sequence[Setting], *, place: float, celsius: float) -> list[float]:
    """How sure the log of the time until a place would be with one more plate, for each of these (n,)."""
    slope = fit.log_time_slope(place, celsius)
    now = np.linalg.inv(fit.covariance)
    more = fit.information(np.array([one.time_s for one in settings]), np.array([one.celsius for one in settings]))
    return [float(np.sqrt(slope @ np.linalg.solve(now + one, slope))) for one in more]
