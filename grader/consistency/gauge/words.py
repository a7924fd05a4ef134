"""A study of the method in plain words, with the numbers beneath."""

from collections.abc import Iterator, Sequence

from grader.consistency.gauge.anova import POOLED_ABOVE
from grader.consistency.gauge.mean_squares import Component
from grader.consistency.gauge.model import Factor
from grader.consistency.gauge.plan import StudyPhoto, StudyPlan
from grader.consistency.gauge.study import Fitness, StudyResult

FACTOR_WORDS: dict[Factor, str] = {"person": "the person", "phone": "the phone", "light": "the light"}
_FIT_WORDS: dict[Fitness, str] = {
    Fitness.GOOD: "that is good",
    Fitness.MAY_DO: "that may do, if the house says so",
    Fitness.POOR: "that is not good enough",
}
_MANY = {"person": "people", "phone": "phones", "light": "lights", "condition": "conditions"}
_ENOUGH = 3
"""With fewer degrees of freedom the upper limit of a standard deviation is six times its estimate or more."""
_TWO_READINGS = 2.77
"""1.96 times the root of 2: the reproducibility limit of ISO 5725-6 (from memory)."""


def headline(result: StudyResult, *, varied: tuple[Factor, ...]) -> str:
    """What the method can tell, and where most of its doubt comes from; `varied` is what was not the same all along."""
    grades = "no two grades" if result.grades < 2 else f"{result.grades} grades"
    most = max(_causes(result, varied), key=lambda cause: cause[1])[0]
    return f"Among plates like these the method can tell {grades} of plate apart; most of its doubt is {most}."


def _causes(result: StudyResult, varied: tuple[Factor, ...]) -> list[tuple[str, float]]:
    anova = result.anova
    causes = [("in taking the same photo again", anova.repeatability.variance)]
    if anova.interaction is not None:
        causes.append(("that some plates read differently for some", anova.interaction.variance))
    if anova.by_factor:
        return causes + [(FACTOR_WORDS[factor], one.variance) for factor, one in anova.by_factor.items()]
    return [*causes, (together(varied), anova.conditions.variance)]


def together(varied: tuple[Factor, ...]) -> str:
    """What was varied, as one thing."""
    return " with ".join(FACTOR_WORDS[factor] for factor in varied)


def result_lines(result: StudyResult, *, varied: tuple[Factor, ...]) -> Iterator[str]:
    """All that one quantity of a study says; `varied` is what was not the same all along."""
    yield f"{result.quantity.title}: {headline(result, varied=varied)}"
    yield from verdict_lines(result)
    yield "Standard deviations, with 95 % limits:"
    for words, component in component_rows(result, varied):
        yield f"  {words}: {_limits(component)} {result.quantity.unit}".rstrip()
    yield from table_lines(result)


def verdict_lines(result: StudyResult) -> Iterator[str]:
    """Whether the method will do, and what is to be minded about the study."""
    quantity = result.quantity
    if result.percent_tolerance is not None:
        taken = f"{result.percent_tolerance:.0f} % of the range of {quantity.amount(result.tolerance or 0)}"
        yield f"Six standard deviations of the method take up {taken}: {_FIT_WORDS[result.fitness]}."
    else:
        yield f"The method makes {result.percent_study:.0f} % of the spread seen: {_FIT_WORDS[result.fitness]}."
    apart = quantity.amount(_TWO_READINGS * result.anova.method.sd)
    yield f"Two readings of one plate by anybody differ by up to {apart} (95 %)."
    few = [name for name, freedom in _few(result) if freedom < _ENOUGH]
    if few:
        yield f"Two or three {' or '.join(few)} tell only roughly how far they differ: mind the limits."
    if result.drift is not None and result.drift.shown:
        way = quantity.more if result.drift.per_photo > 0 else quantity.less
        yield (
            f"Plates changed while they were photographed: {quantity.amount(abs(result.drift.per_photo))} {way} from "
            "photo to photo. That is in the doubt above: be quicker, or use painted bars in place of fries."
        )
    if result.layout == "nested":
        yield "Each had plates of its own: what is told of people, phones and lights rests on plates of one batch."
    if result.left_out:
        yield f"Left out, because photos of them are missing: {', '.join(result.left_out)}."


def _few(result: StudyResult) -> Iterator[tuple[str, int]]:
    """Those that were varied, with how many more than one of them there were."""
    for line in result.anova.table:
        if line.name in _MANY and (line.name != "condition" or not result.anova.by_factor):
            yield _MANY[line.name], line.freedom


def component_rows(result: StudyResult, varied: tuple[Factor, ...]) -> Iterator[tuple[str, Component]]:
    """Each part of the spread, in words."""
    anova = result.anova
    yield "the same again (repeatability)", anova.repeatability
    yield together(varied), anova.conditions
    for factor, component in anova.by_factor.items():
        yield f"  of which {FACTOR_WORDS[factor]}", component
    if anova.interaction is not None:
        yield "some plates for some (interaction)", anova.interaction
    yield "the method (all of these)", anova.method
    yield "the plates", anova.plates


def _limits(component: Component) -> str:
    return f"{component.sd:.3f} ({component.low**0.5:.3f} to {component.high**0.5:.3f})"


def table_lines(result: StudyResult) -> Iterator[str]:
    """The table of the analysis of variance, and what was pooled."""
    yield "Analysis of variance: sum of squares, degrees of freedom, F, chance"
    for line in result.anova.table:
        tested = "" if line.f is None else f", {line.f:.3f}, {line.probability:.3f}"
        yield f"  {line.name}: {line.squares:.5g}, {line.freedom}{tested}"
    if result.anova.pooled:
        yield f"  {pooled_words(result)}"


def pooled_words(result: StudyResult) -> str:
    """Why an interaction was taken for chance."""
    if all(line.name != "repeats" for line in result.anova.table):
        return "plate x condition stands for repeats: nothing was read twice"
    return f"plate x condition counted among repeats: by chance as large in over {POOLED_ABOVE:.0%} of studies"


def plan_lines(plan: StudyPlan) -> Iterator[str]:
    """What a plan asks for, and what to mind."""
    whose = "for each person, phone and light" if plan.layout == "nested" else "in all"
    each = "photos of each" if plan.layout == "nested" else "photos of each under each condition"
    yield f"{len(plan.photos)} photos: {plan.plates} plates {whose}, {plan.repeats} {each}."
    if plan.keeps == "fries":
        yield (
            f"A plate is photographed for some {plan.minutes_a_plate:.0f} minutes. Fries cool and dry meanwhile: have "
            "all phones at hand, follow the drawn order, fry the next plate only when this one is done. They are a "
            "sample: throw them away afterwards."
        )
    yield "Before each photo take plate and card up and lay them anew: else nothing of that is in the study."
    yield "Choose plates as unlike as your shifts make them, from the palest to the darkest that you would serve."


def photo_words(photo: StudyPhoto) -> str:
    """What is to be done for one photo."""
    return f"Photo {photo.number}: plate {photo.plate}, {photo.condition.words}"


def missing_words(missing: Sequence[StudyPhoto], of: int) -> str:
    """What is to be done next, and how much is left."""
    if not missing:
        return f"All {of} photos are read."
    return f"{photo_words(missing[0])} comes next. {of - len(missing)} of {of} are read."
