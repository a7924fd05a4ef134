"""A standard put to fries of one stage: blanched, finished or held."""

from dataclasses import fields, replace

from grader.errors import GraderError
from grader.standard.model import FINISHED, Stage, StageName, Standard

CAUTIONS: dict[StageName, str] = {
    "blanched": "Blanched fries aren't ready to eat: they are cooked again before anybody is served.",
    "finished": "",
    "held": "How hot and how long fries may be held is for your local food code to say: colour doesn't show it.",
}
"""What is told beside a verdict on fries of a stage."""

_LIMITS = tuple(field.name for field in fields(Stage) if field.name.endswith("_at_most"))


class StageUnknownError(GraderError, ValueError):
    """A standard says nothing of the stage that a plate shows."""


def stage_names(standard: Standard) -> tuple[StageName, ...]:
    """The stages that a standard has limits for, in the order in which fries go through them."""
    told = {FINISHED, *(stage.name for stage in standard.stages)}
    return tuple(name for name in CAUTIONS if name in told)


def at_stage(standard: Standard, name: StageName) -> Standard:
    """The standard as it judges fries of this stage: target, limits and surface are those of the stage.

    Raises
    ------
    StageUnknownError
        The standard has no limits for it; the message names those that it has.
    """
    whole = standard.as_read
    if name == FINISHED:
        return whole
    stage = next((stage for stage in whole.stages if stage.name == name), None)
    if stage is None:
        raise StageUnknownError(
            f"{whole.name}, version {whole.version}, has no limits for {name} fries.",
            hint=f"It has limits for {' and '.join(stage_names(whole))} ones; add a table [stages.{name}] for others.",
        )
    own = {key: limit for key in _LIMITS if (limit := getattr(stage, key)) is not None}
    return replace(
        whole,
        surface=stage.surface or whole.surface,
        scale=replace(whole.scale, target_from=stage.target_from, target_to=stage.target_to),
        limits=replace(whole.limits, **own),
        stage=name,
        whole=whole,
    )
