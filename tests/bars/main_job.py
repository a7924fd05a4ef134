"""What the main job must reach, as data, and how far a graded folder is from it.

The bars are the project's own; how each figure is computed stands in tests/scoring/.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tests.bars.grading import Graded, Json
from tests.scoring.figures import Figures, by_group


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One figure of one group of plates, and the range that it must lie in."""

    group: str
    figure: str
    at_least: float = float("-inf")
    at_most: float = float("inf")

    @property
    def name(self) -> str:
        """The figure in words, to tell bars apart."""
        return f"{self.group}: {self.figure}"

    def met_by(self, value: float) -> bool:
        """The figure is inside; nan, nothing to compare, is not."""
        return self.at_least <= value <= self.at_most


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """A bar, what was reached, and whether that is enough; `value` is in words where the bar is no number."""

    name: str
    wanted: str
    value: str
    met: bool


BARS: tuple[Bar, ...] = (
    Bar(group="spread", figure="pq", at_least=0.93),
    Bar(group="touching", figure="pq", at_least=0.87),
    Bar(group="mat", figure="pq", at_least=0.88),
    Bar(group="spread", figure="false_share", at_most=0.03),
    Bar(group="touching", figure="false_share", at_most=0.03),
    Bar(group="mat", figure="false_share", at_most=0.03),
    Bar(group="spread", figure="length_given", at_least=0.95),
    Bar(group="mat", figure="length_given", at_least=0.95),
    Bar(group="touching", figure="length_given", at_least=0.85),
    Bar(group="spread", figure="colour_given", at_least=0.95),
    Bar(group="mat", figure="colour_given", at_least=0.95),
    Bar(group="touching", figure="colour_given", at_least=0.95),
    Bar(group="all but heaps", figure="length_mae_mm", at_most=2.0),
    Bar(group="all but heaps", figure="length_bias_mm", at_least=-0.7, at_most=0.7),
    Bar(group="all but heaps", figure="width_mae_mm", at_most=0.8),
    Bar(group="mat", figure="colour_de_median", at_most=2.2),
    Bar(group="beside a card", figure="colour_de_median", at_most=2.5),
)

VERDICTS: dict[str, str] = {
    "b1": "passes",
    "b2": "fails on colour, not on length",
    "b3": "fails on length, on slivers or short pieces, and on dark ends, not on colour",
}
"""What the three sample batches must come to by the 9.5 mm standard that ships."""

_COLOUR_KEYS = frozenset({"colour", "spread", "out_of_target"})


def failed_keys(verdict: Json) -> frozenset[str]:
    """Keys of the limits that a batch fails."""
    return frozenset(limit["key"] for limit in verdict["limits"] if limit["outcome"] == "fail")


def verdict_is_right(batch: str, verdict: Json | None) -> bool:
    """Whether a sample batch came to what VERDICTS says of it."""
    if verdict is None:
        return False
    failed = failed_keys(verdict)
    on_colour = bool(failed & _COLOUR_KEYS)
    on_length = any(key.startswith("length") for key in failed)
    match batch:
        case "b1":
            return str(verdict["outcome"]) == "pass"
        case "b2":
            return on_colour and not on_length
        case "b3":
            return on_length and bool(failed & {"sliver", "short"}) and "dark_end" in failed and not on_colour
    message = f"no verdict is known for a batch named {batch!r}"
    raise ValueError(message)


def _wanted(bar: Bar) -> str:
    if bar.at_least == float("-inf"):
        return f"<= {bar.at_most:g}"
    return f">= {bar.at_least:g}" if bar.at_most == float("inf") else f"{bar.at_least:g} to {bar.at_most:g}"


def figures_reached(groups: dict[str, Figures], bars: Sequence[Bar] = BARS) -> Iterator[Reached]:
    """Every bar in numbers whose group has plates."""
    for bar in bars:
        if bar.group in groups:
            value = float(getattr(groups[bar.group], bar.figure))
            yield Reached(name=bar.name, wanted=_wanted(bar), value=f"{value:.3f}", met=bar.met_by(value))


def refusals_reached(graded: Graded) -> Iterator[Reached]:
    """Bad plates refused with the right reason first, good plates not refused."""
    for score in graded.scores:
        said = f"{'refused' if score.refused else 'measured'} ({', '.join(score.codes) or 'nothing said'})"
        if not score.has_result:
            said = "no result"
        if score.must_refuse:
            yield Reached(name=score.name, wanted="refused, right reason first", value=said, met=score.right_reason)
        elif score.refused or not score.has_result:
            yield Reached(name=score.name, wanted="measured", value=said, met=False)


def verdicts_reached(graded: Graded) -> Iterator[Reached]:
    """The verdicts on the three sample batches, where they are among the graded."""
    for batch, wanted in VERDICTS.items():
        if batch in graded.verdicts:
            verdict = graded.verdicts[batch]
            said = "no verdict"
            if verdict is not None:
                failed = ", ".join(sorted(failed_keys(verdict)))
                said = verdict["outcome"] + (f" on {failed}" if failed else "")
            yield Reached(name=f"batch {batch}", wanted=wanted, value=said, met=verdict_is_right(batch, verdict))


def all_reached(graded: Graded) -> tuple[Reached, ...]:
    """Every bar that the graded plates say something about."""
    return (*figures_reached(by_group(graded.scores)), *refusals_reached(graded), *verdicts_reached(graded))


def line(reached: Reached) -> str:
    """One bar for a terminal."""
    return f"{'met   ' if reached.met else 'MISSED'}  {reached.name:32} {reached.value}   (wanted: {reached.wanted})"
