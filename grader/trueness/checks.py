"""Whether what a study found is within what the house accepts, point by point.

A bias must be shown to be small: its whole confidence interval must lie inside the limit, as in a test of
equivalence. So a study with few photos doesn't pass by knowing little.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from grader.trueness.agreement import Agreement
from grader.trueness.model import COLOURS, LEAST_BARS, LEAST_CHIPS, Quantity
from grader.trueness.study import Study

QUANTITY_WORDS: dict[Quantity, str] = {"length_mm": "length", "width_mm": "width", "L": "L*", "a": "a*", "b": "b*"}


class Found(StrEnum):
    """Within the limit; not shown to be within it; beyond it."""

    WITHIN = "within"
    NOT_SHOWN = "not shown"
    BEYOND = "beyond"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One point that was checked: what it is about, what came out, and the figures in words."""

    title: str
    found: Found
    words: str


def length_checks(study: Study) -> tuple[Check, ...]:
    """What must hold before a length counts as absolute."""
    limits = study.limits
    return (
        *_sizes(study, "length_mm", limits.length_bias_mm, limits.length_single_mm),
        *_sizes(study, "width_mm", limits.width_bias_mm, limits.width_single_mm),
    )


def colour_checks(study: Study) -> tuple[Check, ...]:
    """What must hold before a colour counts as absolute: over all lights, and under each of them."""
    return tuple(_colours(study))


def all_within(checks: tuple[Check, ...]) -> bool:
    """Every point is within its limit."""
    return all(check.found is Found.WITHIN for check in checks)


def _sizes(study: Study, quantity: Quantity, most_bias: float, most_single: float) -> Iterator[Check]:
    words = QUANTITY_WORDS[quantity]
    agreement = study.agreement(quantity)
    yield _enough(f"bars measured for {words}", agreement, LEAST_BARS)
    if agreement is None:
        return
    yield _bias(f"bias of {words}", agreement, most_bias, "mm")
    farthest = max(abs(agreement.lower.value), abs(agreement.upper.value))
    yield Check(
        title=f"a single {words}",
        found=Found.WITHIN if farthest <= most_single else Found.BEYOND,
        words=f"19 of 20 readings are off by {agreement.lower.value:+.2f} to {agreement.upper.value:+.2f} mm;"
        f" accepted is ±{most_single:g} mm",
    )


def _colours(study: Study) -> Iterator[Check]:
    limits = study.limits
    yield _enough("chips measured", study.agreement("L"), LEAST_CHIPS)
    for quantity in COLOURS:
        agreement = study.agreement(quantity)
        if agreement is not None:
            yield _bias(f"bias of {QUANTITY_WORDS[quantity]}", agreement, limits.lab_bias, "")
    for light in study.lights:
        yield from _under_light(study, light)
    distance = study.distance()
    if distance is not None:
        for what, value, most in (
            ("middle", distance.median_de, limits.de_median),
            ("95 %", distance.high_de, limits.de_high),
        ):
            yield Check(
                title=f"CIE 2000 distance, {what}",
                found=Found.WITHIN if value <= most else Found.BEYOND,
                words=f"{value:.2f}; accepted is {most:g}",
            )


def _under_light(study: Study, light: str) -> Iterator[Check]:
    """Under one light there are too few photos to show that a bias is small; it must not be seen to be large."""
    biases = [study.agreement(quantity, light) for quantity in COLOURS]
    if any(one is None for one in biases):
        yield Check(title=f"chips under {light}", found=Found.NOT_SHOWN, words="too few readings under this light")
        return
    worst = max((one for one in biases if one is not None), key=lambda one: abs(one.bias.value))
    yield Check(
        title=f"bias under {light}",
        found=Found.WITHIN if abs(worst.bias.value) <= study.limits.lab_bias else Found.BEYOND,
        words=f"largest in {QUANTITY_WORDS[worst.quantity]}, {worst.bias.value:+.2f};"
        f" accepted is ±{study.limits.lab_bias:g}",
    )


def _enough(title: str, agreement: Agreement | None, least: int) -> Check:
    count = 0 if agreement is None else agreement.pieces
    return Check(
        title=title, found=Found.WITHIN if count >= least else Found.NOT_SHOWN, words=f"{count}; {least} are needed"
    )


def _bias(title: str, agreement: Agreement, most: float, unit: str) -> Check:
    bias = agreement.bias
    if max(abs(bias.low), abs(bias.high)) <= most:
        found = Found.WITHIN
    else:
        found = Found.NOT_SHOWN if abs(bias.value) <= most else Found.BEYOND
    words = f"{bias.value:+.2f} (95 %: {bias.low:+.2f} to {bias.high:+.2f}); accepted is ±{most:g} {unit}".rstrip()
    return Check(title=title, found=found, words=words)
