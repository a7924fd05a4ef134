"""What a house standard asks of blanched and of held fries, from its file."""

from typing import cast, get_args

from grader.standard.fields import Table
from grader.standard.limits import LEAST, SPREAD_STEPS
from grader.standard.model import FINISHED, ColourScale, Stage, StageName, Surface

_PALEST = 0.0
"""Paler than any place on a scale: a target that begins here has no pale end."""
_SHARES = ("out_of_target_at_most", "dark_end_share_at_most", "spotted_share_at_most")


def read_stages(table: Table, scale: ColourScale | None) -> tuple[Stage, ...] | None:
    """The stages in `table`, in the order in which fries go through them; `scale` is where their targets lie."""
    names = [name for name in cast("tuple[StageName, ...]", get_args(StageName)) if table.has(name)]
    if FINISHED in names:
        table.fault(FINISHED, "stands in [scale] and [limits] already; only other stages have a table of their own")
    stages = [_stage(table.table(name), name, scale) for name in names if name != FINISHED]
    table.close()
    whole = tuple(stage for stage in stages if stage is not None)
    return whole if len(whole) == len(stages) else None


def _stage(table: Table, name: StageName, scale: ColourScale | None) -> Stage | None:
    target_from = table.number("target_from", _PALEST, 99, unit="steps")
    target_to = table.number("target_to", 1, 99, unit="steps")
    surface = table.choice("surface", get_args(Surface)) if table.has("surface") else None
    spread = (
        table.number("spread_steps_at_most", *SPREAD_STEPS, unit="steps") if table.has("spread_steps_at_most") else None
    )
    shares = {key: table.share(key, LEAST, 1) for key in _SHARES if table.has(key)}
    table.close()
    if target_from is None or target_to is None:
        return None
    if target_from >= target_to:
        table.fault("target_from", f"is {target_from:g}, not below target_to ({target_to:g})")
    if scale is not None:
        _check_target(table, name, target_to, scale)
    return Stage(
        name=name,
        target_from=target_from,
        target_to=target_to,
        surface=cast("Surface | None", surface),
        spread_steps_at_most=spread,
        out_of_target_at_most=shares.get("out_of_target_at_most"),
        dark_end_share_at_most=shares.get("dark_end_share_at_most"),
        spotted_share_at_most=shares.get("spotted_share_at_most"),
    )


def _check_target(table: Table, name: StageName, target_to: float, scale: ColourScale) -> None:
    """Blanched fries are to be paler than finished ones (common practice, no source)."""
    if target_to > len(scale.steps):
        table.fault("target_to", f"is {target_to:g}, but the scale ends at step {len(scale.steps)}")
    elif name == "blanched" and target_to > scale.target_from:
        finished = f"the target of finished ones begins at {scale.target_from:g}"
        table.fault("target_to", f"is {target_to:g}: blanched fries must be paler than finished, and {finished}")
