"""Trials fried by chance from known constants of browning, with a stated noise."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from grader.line.browning import Browning, place_after, time_to
from grader.line.trial import Noise, TrialPlate
from grader.line.trial_plan import Setting, plan_trial

TARGET = (2.9, 4.7)
MIDDLE = sum(TARGET) / 2
STEPS = 7
TUBERS = 8
"""Of so many the fries of a plate come."""
OFF_S, OFF_C = 5.0, 3.0
"""Times and temperatures are off by up to so much, either way, any amount as likely."""
METHOD_U, BETWEEN_TUBERS = 0.1, 0.3
NOISE = Noise(
    time_s=OFF_S / 3**0.5, celsius=OFF_C / 3**0.5, place=float(np.hypot(METHOD_U, BETWEEN_TUBERS / TUBERS**0.5))
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kitchen:
    """A potato in an oil: what is true, at what temperature it is asked about, and the time that hits the middle."""

    browning: Browning
    celsius: float
    time_s: float


def draw_kitchen(rng: np.random.Generator) -> Kitchen:
    """Two to three minutes to the middle of the target; constants about as published."""
    celsius, time_s = float(rng.choice([170.0, 175.0, 180.0])), rng.uniform(120, 180)
    shape = Browning(
        start=rng.uniform(0.6, 1.4), end=rng.uniform(8, 10), log_rate=0.0, energy_kj=rng.uniform(71.67, 94.85)
    )
    log_rate = float(np.log(time_to(shape, MIDDLE, celsius) / time_s))
    browning = Browning(start=shape.start, end=shape.end, log_rate=log_rate, energy_kj=shape.energy_kj)
    return Kitchen(browning=browning, celsius=celsius, time_s=time_s)


def fry(kitchen: Kitchen, settings: Sequence[Setting], rng: np.random.Generator) -> list[TrialPlate]:
    """Plates as they come out: recorded as they were meant, fried a little otherwise."""
    plates = []
    for setting in settings:
        time_s, celsius = setting.time_s + rng.uniform(-OFF_S, OFF_S), setting.celsius + rng.uniform(-OFF_C, OFF_C)
        place = float(place_after(kitchen.browning, time_s, celsius)) + NOISE.place * rng.normal()
        plates.append(TrialPlate(time_s=setting.time_s, celsius=setting.celsius, place=place))
    return plates


def trial(kitchen: Kitchen, rng: np.random.Generator) -> list[TrialPlate]:
    """Twelve plates about a guess that is off by up to a fifth."""
    guess = kitchen.time_s * float(np.exp(rng.uniform(-0.2, 0.2)))
    settings = plan_trial(guess_s=guess, celsius=kitchen.celsius, apart_c=10.0, seed=int(rng.integers(1 << 30)))
    return fry(kitchen, settings, rng)
