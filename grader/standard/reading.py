"""A house standard from the text of its TOML file, checked; every fault reported at once, with its line and field."""

from typing import cast, get_args

from grader.colour.difference import ciede2000
from grader.standard.document import read_document
from grader.standard.fields import Table
from grader.standard.limits import read_limits
from grader.standard.model import ColourScale, Cut, Defects, LengthIs, Standard, Step, Surface
from grader.standard.stage_reading import read_stages

SCHEMA_VERSION = 1
NEIGHBOURS_DE_AT_LEAST = 2.0
"""CIE 2000 between neighbouring steps: the least that a photograph can tell apart (our choice, no source)."""

_BOW_SHARES = 0.02, 0.5
"""Straighter than the first no cut strip is, and a half circle has the second."""
_GAPS_MM = 1.0, 20.0
"""Of ends that nobody tore 99 in 100 read below 0.75 mm (rendered plates): a gap of less than 1 mm tells nothing."""

_HINT = "Correct the file and read it again; the standards in calibration/standards show every field."
_NAME, _NOTE = 80, 4000


def read_standard(text: str, *, name: str) -> Standard:
    """A standard from the text of a TOML file; `name` is what the file is called in the message.

    Raises
    ------
    DocumentFaulty
        With every fault of the file, in the order of its lines.
    """
    return read_document(text, name=name, hint=_HINT, build=_standard)


def _standard(top: Table) -> Standard | None:
    schema_version = top.number("schema_version", SCHEMA_VERSION, SCHEMA_VERSION, unit="")
    name, version = top.text("name", at_most=_NAME), top.text("version", at_most=_NAME)
    note = top.text("note", at_most=_NOTE, may_be_empty=True)
    length_is = top.choice("length_is", get_args(LengthIs))
    surface = top.choice("surface", get_args(Surface))
    height = top.number("plate_height_above_card_mm", -50, 50, unit="mm")
    scale, cut = _scale(top.table("scale")), _cut(top.table("cut"))
    table = top.table("defects")
    defects = _defects(table, cut)
    limits = read_limits(top.table("limits"), defects=table)
    stages = read_stages(top.table("stages"), scale) if top.has("stages") else ()
    top.close()
    if (
        schema_version is None or name is None or version is None or note is None or length_is is None
        or surface is None or height is None or scale is None or cut is None or defects is None or limits is None
        or stages is None
    ):  # fmt: skip
        return None
    return Standard(
        schema_version=int(schema_version),
        name=name,
        version=version,
        note=note,
        length_is=cast("LengthIs", length_is),
        surface=cast("Surface", surface),
        scale=scale,
        cut=cut,
        defects=defects,
        limits=limits,
        plate_height_above_card_mm=height,
        stages=stages,
    )


def _scale(table: Table) -> ColourScale | None:
    target_from = table.number("target_from", 1, 99, unit="steps")
    target_to = table.number("target_to", 1, 99, unit="steps")
    off_scale_de = table.number("off_scale_de", 1, 50, unit="CIE 2000 units")
    entries = list(table.tables("steps"))
    steps = [_step(entry) for entry in entries]
    table.close()
    _check_steps(entries, steps)
    if entries and len(entries) < 3:
        table.fault("steps", f"has {len(entries)}; a scale needs at least 3, from pale to too dark")
    if entries and target_to is not None and target_to > len(entries):
        table.fault("target_to", f"is {target_to:g}, but the scale ends at step {len(entries)}")
    if target_from is not None and target_to is not None and target_from >= target_to:
        table.fault("target_from", f"is {target_from:g}, not below target_to ({target_to:g})")
    whole = tuple(step for step in steps if step is not None)
    if target_from is None or target_to is None or off_scale_de is None or len(whole) < max(len(steps), 3):
        return None
    return ColourScale(steps=whole, target_from=target_from, target_to=target_to, off_scale_de=off_scale_de)


def _step(table: Table) -> Step | None:
    name, lab = table.text("name", at_most=_NAME), table.lab("lab")
    table.close()
    return Step(name=name, lab=lab) if name is not None and lab is not None else None


def _check_steps(entries: list[Table], steps: list[Step | None]) -> None:
    """Names used once, each step darker than the one before and far enough from it."""
    seen: set[str] = set()
    for entry, step in zip(entries, steps, strict=True):
        if step is not None and step.name.casefold() in seen:
            entry.fault("name", f'"{step.name}" is the name of an earlier step too')
        elif step is not None:
            seen.add(step.name.casefold())
    for entry, before, step in zip(entries[1:], steps, steps[1:], strict=False):
        if before is None or step is None:
            continue
        if step.lab[0] >= before.lab[0]:
            entry.fault("lab", f"is not darker than the step before (L* {step.lab[0]:g} after {before.lab[0]:g})")
        apart = float(ciede2000(before.lab, step.lab))
        if apart < NEIGHBOURS_DE_AT_LEAST:
            least = f"{NEIGHBOURS_DE_AT_LEAST:g} CIE 2000 units"
            entry.fault(
                "lab", f"is only {apart:.1f} from the step before; a photograph needs {least} to tell them apart"
            )


def _cut(table: Table) -> Cut | None:
    name, skin_on = table.text("name", at_most=_NAME), table.flag("skin_on")
    width = table.number("width_mm", 2, 40, unit="mm")
    tolerance = table.number("tolerance_mm", 0.1, 20, unit="mm")
    table.close()
    if width is not None and tolerance is not None and tolerance >= width:
        table.fault("tolerance_mm", f"is {tolerance:g} mm, not less than the width itself ({width:g} mm)")
        return None
    if name is None or skin_on is None or width is None or tolerance is None:
        return None
    return Cut(name=name, width_mm=width, tolerance_mm=tolerance, skin_on=skin_on)


def _defects(table: Table, cut: Cut | None) -> Defects | None:
    piece = table.number("piece_from_mm", 1, 100, unit="mm")
    short = table.number("short_below_mm", 1, 200, unit="mm")
    sliver = table.number("sliver_below_width_mm", 0.5, 40, unit="mm")
    dark_mm = table.number("dark_end_from_mm", 0.5, 100, unit="mm")
    dark_dl = table.number("dark_end_from_dl", 0.5, 100, unit="L*")
    spot = table.number("spot_from_mm", 0.2, 50, unit="mm")
    scrap = table.number("scrap_below_mm", 1, 200, unit="mm") if table.has("scrap_below_mm") else None
    curved = table.share("curved_from_bow_share", *_BOW_SHARES) if table.has("curved_from_bow_share") else None
    torn = table.number("torn_end_from_mm", *_GAPS_MM, unit="mm") if table.has("torn_end_from_mm") else None
    table.close()
    if piece is not None and short is not None and piece >= short:
        table.fault("piece_from_mm", f"is {piece:g} mm: crumbs must be shorter than short pieces ({short:g} mm)")
    elif scrap is not None and piece is not None and short is not None and not piece < scrap <= short:
        between = f"longer than crumbs ({piece:g} mm) and no longer than short pieces ({short:g} mm)"
        table.fault("scrap_below_mm", f"is {scrap:g} mm: scraps must be {between}")
    if sliver is not None and cut is not None and sliver > cut.width_mm - cut.tolerance_mm:
        least = f"{cut.width_mm - cut.tolerance_mm:g} mm"
        table.fault(
            "sliver_below_width_mm",
            f"is {sliver:g} mm: fries of the cut's own tolerance (from {least}) would be slivers",
        )
    if piece is None or short is None or sliver is None or dark_mm is None or dark_dl is None or spot is None:
        return None
    return Defects(
        piece_from_mm=piece,
        short_below_mm=short,
        sliver_below_width_mm=sliver,
        dark_end_from_mm=dark_mm,
        dark_end_from_dl=dark_dl,
        spot_from_mm=spot,
        scrap_below_mm=scrap,
        curved_from_bow_share=curved,
        torn_end_from_mm=torn,
    )
