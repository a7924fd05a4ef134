"""A house standard as the text of its TOML file: what was read comes back the same, comments aside."""

from collections.abc import Iterator
from dataclasses import fields

from grader.standard.model import Cut, Defects, LengthShare, Limits, Standard
from grader.toml_text import toml_entry

_HEAD = """\
# A house standard. Lengths in mm, or in inches where a name ends in _in; shares by count or by estimated mass, written
# 0 to 1 (0.65 is 65 %); colours in CIELAB, D65, 2 degrees.
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
        yield from _length_share(share)


def _length_share(share: LengthShare) -> Iterator[str]:
    if share.length_in is None:
        yield toml_entry("length_mm", share.length_mm)
    else:
        yield toml_entry("length_in", share.length_in)
    yield toml_entry("at_least_share", share.at_least_share)
    if share.by != "count":
        yield toml_entry("by", share.by)


def _entries(table: Cut | Defects | Limits) -> Iterator[str]:
    for field in fields(table):
        value = getattr(table, field.name)
        # A list of tables stands after the plain fields; what was left out stays so.
        if field.name != "length_shares" and value is not None:
            yield toml_entry(field.name, value)
