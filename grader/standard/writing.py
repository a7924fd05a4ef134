"""A house standard as the text of its TOML file: what was read comes back the same, comments aside."""

from collections.abc import Iterator
from dataclasses import fields

from grader.standard.model import Cut, Defects, Limits, Standard
from grader.toml_text import toml_entry

_HEAD = """\
# A house standard. Lengths in mm; shares by count, written 0 to 1 (0.65 is 65 %); colours in CIELAB, D65, 2 degrees.
"""


def write_standard(standard: Standard) -> str:
    """The TOML text of a standard; `read_standard` gives the same standard back."""
    return "\n".join(_lines(standard)) + "\n"


def _lines(standard: Standard) -> Iterator[str]:
    yield _HEAD
    for key in ("schema_version", "name", "version", "note", "length_is", "surface", "plate_height_above_card_mm"):
        yield toml_entry(key, getattr(standard, key))
    scale = standard.scale
    yield "\n[scale]"
    for key in ("target_from", "target_to", "off_scale_de"):
        yield toml_entry(key, getattr(scale, key))
    for step in scale.steps:
        yield "\n[[scale.steps]]"
        yield toml_entry("name", step.name)
        yield toml_entry("lab", step.lab)
    for title, table in (("cut", standard.cut), ("defects", standard.defects), ("limits", standard.limits)):
        yield f"\n[{title}]"
        yield from _entries(table)
    if not standard.limits.length_shares:
        yield "length_shares = []"
    for share in standard.limits.length_shares:
        yield "\n[[limits.length_shares]]"
        yield toml_entry("length_mm", share.length_mm)
        yield toml_entry("at_least_share", share.at_least_share)


def _entries(table: Cut | Defects | Limits) -> Iterator[str]:
    for field in fields(table):
        value = getattr(table, field.name)
        if field.name != "length_shares":  # a list of tables stands after the plain fields
            yield toml_entry(field.name, value)
