"""What is doubtful about a scale made from plates, in words; what a standard can't hold is told as refused."""

from collections.abc import Iterator

from grader.decision.words import percent
from grader.errors import Finding
from grader.scale_fit.model import Confusion, Separation
from grader.standard.model import ColourScale
from grader.standard.reading import NEIGHBOURS_DE_AT_LEAST

WRONG_AT_MOST = 0.05
"""Share of plates put on the wrong one of two steps beyond which the two can't be told apart. Our choice, no source."""


def scale_doubts(scale: ColourScale, separations: tuple[Separation, ...], confusion: Confusion) -> tuple[Finding, ...]:
    """Everything doubtful, what a standard can't hold first."""
    lightness = {step.name: step.lab[0] for step in scale.steps}
    found = [*_unlawful(lightness, separations), *_not_told(separations), *_confused(confusion)]
    return tuple(sorted(found, key=lambda one: not one.refuses))


def _unlawful(lightness: dict[str, float], separations: tuple[Separation, ...]) -> Iterator[Finding]:
    for pair in separations:
        if lightness[pair.darker] >= lightness[pair.paler]:
            yield Finding(
                code="step_not_darker",
                message=f'The plates of "{pair.darker}" are not darker than those of "{pair.paler}" (L* '
                f"{lightness[pair.darker]:g} and {lightness[pair.paler]:g}).",
                hint="Name the steps from pale to dark, and check which plates lie in which folder.",
                refuses=True,
            )
        if pair.apart_de < NEIGHBOURS_DE_AT_LEAST:
            yield Finding(
                code="steps_too_near",
                message=f'"{pair.paler}" and "{pair.darker}" are {pair.apart_de:.1f} CIE 2000 units apart; a scale '
                f"needs {NEIGHBOURS_DE_AT_LEAST:g} between steps.",
                hint="Make one step of them, or photograph plates that differ more.",
                refuses=True,
            )


def _not_told(separations: tuple[Separation, ...]) -> Iterator[Finding]:
    for pair in separations:
        two = f'"{pair.paler}" and "{pair.darker}"'
        if pair.wrong_by_method > WRONG_AT_MOST:
            yield Finding(
                code="steps_not_told_apart",
                message=f"{two} can't be told apart: one plate's doubt alone would put {percent(pair.wrong_by_method)} "
                f"of such plates on the wrong one (they are {pair.apart_de:.1f} CIE 2000 units apart, and a plate's "
                f"standard uncertainty on that way is {pair.method_u * pair.apart_de:.1f}).",
                hint="Make one step of them; or lessen the doubt: even daylight, a measured card, a mat.",
            )
        elif pair.wrong_with_plates > WRONG_AT_MOST:
            yield Finding(
                code="plates_overlap",
                message=f"Plates of {two} overlap: they scatter about their step's colour so much that "
                f"{percent(pair.wrong_with_plates)} of such plates would be put on the wrong one.",
                hint="Look through both folders for plates that belong to the other, or make one step of them.",
            )


def _confused(confusion: Confusion) -> Iterator[Finding]:
    if confusion.wrong:
        which = "; ".join(f'"{name}" ("{step}") was put on "{there}"' for name, step, there in confusion.wrong)
        yield Finding(
            code="plates_put_elsewhere",
            message=f"{len(confusion.wrong)} of {confusion.plates} plates, each held out in turn, {which}.",
            hint="Look at these plates again: does everybody in the house call them so?",
        )
