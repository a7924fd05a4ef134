"""What the commands about a trial say, for people."""

from collections.abc import Sequence
from pathlib import Path

from grader.line.cautions import ACRYLAMIDE, LOCAL, OIL
from grader.line.levels import LevelsTrial
from grader.line.sheet import LAW_BELOW_C
from grader.line.trial import Window, window_at
from grader.line.trial_choice import Choice
from grader.line.trial_plan import Setting, next_plate
from grader.standard.model import ColourScale

_CAUTION = "\n".join(one.words for one in (OIL, ACRYLAMIDE, LOCAL))


def plan_lines(table: Path, settings: Sequence[Setting]) -> list[str]:
    """The plates in their order, and how to go about it."""
    return [
        f"{table}: fry these {len(settings)} plates in this order, from one lot, cut and blanched alike:",
        *(f"  {turn:2}. {one.time_s:.0f} s at {one.celsius:g} C" for turn, one in enumerate(settings, 1)),
        "Let the oil come back to its temperature before each. Photograph each plate beside the card, grade it by your",
        "standard, and enter its mean place on the house scale. Then: trial read.",
        *_law(max(one.celsius for one in settings)),
        _CAUTION,
    ]


def found_lines(choice: Choice, scale: ColourScale, *, celsius: float, wanted: float) -> list[str]:
    """The window, what stands behind it, and the next plate or that it is enough."""
    middle = (scale.target_from + scale.target_to) / 2
    window = window_at(choice.fit, celsius, target_from=scale.target_from, target_to=scale.target_to)
    share = f"± {window.half_width:.0%}"
    lines = [
        f"At {celsius:g} C: {window.centre_s:.0f} s to the middle of the target ({middle:.1f} on the house scale),",
        f"  with 95 % probability between {window.low_s:.0f} and {window.high_s:.0f} s ({share}).",
        _surely(window),
        _curve(choice),
    ]
    if window.beyond:
        lines.append("Part of that lies outside the times that were tried: fry plates there before you rely on it.")
    if window.half_width > wanted:
        one = next_plate(choice.fit, place=middle, celsius=celsius)
        lines.append(
            f"Not narrow enough ({wanted:.0%} wanted). Most telling next: {one.time_s:.0f} s at {one.celsius:.0f} C."
        )
    else:
        lines.append(f"Narrow enough ({wanted:.0%} wanted). It holds for this lot, this cut, this fryer and load.")
    return [*lines, *_law(celsius), _CAUTION]


def levels_plan_lines(table: Path, planned: Sequence[float]) -> list[str]:
    """The plates in their order."""
    return [
        f"{table}: fry {len(planned)} plates in this order, all else alike (one lot, one time, one temperature):",
        *(f"  {turn:2}. {level:g}" for turn, level in enumerate(planned, 1)),
        "Let the oil come back before each. Grade each plate, enter its mean place. Then: trial read-levels.",
        _CAUTION,
    ]


def levels_lines(told: LevelsTrial, scale: ColourScale) -> list[str]:
    """Each level's place, and which two differ."""
    lines = ["Level: mean place on the house scale (95 %):"]
    for one in told.means:
        surely = one.surely_within(scale.target_from, scale.target_to)
        within = "surely within the target" if surely else "not surely within the target"
        lines.append(
            f"  {one.level:g}: {one.mean:.2f} ({one.low:.2f} to {one.high:.2f}), {one.plates} plates, {within}"
        )
    lines.append("Two levels, how much darker the second is (all at once, 95 %):")
    for two in told.apart:
        word = "they differ" if two.differ else "not told apart"
        figures = f"{two.difference:+.2f} steps ({two.low:+.2f} to {two.high:+.2f})"
        lines.append(f"  {two.one:g} and {two.other:g}: {figures}, {word}")
    return [
        *lines,
        f"Plates of one level differ by {told.sd:.2f} steps (standard deviation).",
        "Nothing is said of levels between those tried, or beyond them.",
        _CAUTION,
    ]


def _surely(window: Window) -> str:
    if window.from_s >= window.to_s:
        return "No time is surely within the target: the doubt is wider than the target."
    return f"Surely within the target: {window.from_s:.0f} to {window.to_s:.0f} s (each end with 95 % probability)."


def _curve(choice: Choice) -> str:
    by = "first-order browning, its rate by Arrhenius" if choice.by_theory else "a response surface, no theory"
    off = f"browning is off by {choice.browning_off:.2f} steps, a surface by {choice.surface_off:.2f}"
    return f"By {by}; on plates left out in turn {off} (root mean square)."


def _law(celsius: float) -> list[str]:
    if celsius < LAW_BELOW_C:
        return []
    return [
        f"Where Regulation (EU) 2017/2158 holds, fries are fried below {LAW_BELOW_C:g} C,",
        f"  and as low as food safety allows: {celsius:g} C is not. Common practice elsewhere is near 191 C (375 F).",
    ]
