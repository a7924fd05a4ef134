"""A house standard as the text of its TOML file: what was read comes back the same, comments aside.

Between the two stands its content: tables, lists and plain values by the names of their fields, as the file has them.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from grader.standard.model import Cut, Defects, LengthShare, Limits, Stage, Standard
from grader.toml_text import toml_document

Content = dict[str, Any]

_HEAD = """\
# A house standard. Lengths in mm, or in inches where a name ends in _in; shares by count or by estimated mass, written
# 0 to 1 (0.65 is 65 %); colours in CIELAB, D65, 2 degrees.

"""


def write_standard(standard: Standard) -> str:
    """The TOML text of a standard, whichever stage it judges; `read_standard` gives it back as it was read.

    The text of given values must never change: what was kept is known by its hash.
    """
    return write_content(standard_content(standard))


def standard_sha256(standard: Standard) -> str:
    """What tells one set of values from any other: the SHA-256 of the standard's text, in hexadecimal."""
    return hashlib.sha256(write_standard(standard).encode()).hexdigest()


def write_content(content: Mapping[str, Any]) -> str:
    """The TOML text of a standard's content, faulty or not."""
    return _HEAD + toml_document(content)


def standard_content(standard: Standard) -> Content:
    """A standard as the content of its file; what was left out stays so."""
    whole = standard.as_read
    scale = whole.scale
    tops = ("schema_version", "name", "version", "note", "length_is", "surface", "plate_height_above_card_mm")
    return {
        **{key: getattr(whole, key) for key in tops},
        "scale": {
            **{key: getattr(scale, key) for key in ("target_from", "target_to", "off_scale_de")},
            "steps": [{"name": step.name, "lab": list(step.lab)} for step in scale.steps],
        },
        "cut": _given(whole.cut),
        "defects": _given(whole.defects),
        "limits": _given(whole.limits)
        | {"length_shares": [_length_share(share) for share in whole.limits.length_shares]},
        **({"stages": {stage.name: _given(stage, but="name") for stage in whole.stages}} if whole.stages else {}),
    }


def _length_share(share: LengthShare) -> Content:
    length = {"length_mm": share.length_mm} if share.length_in is None else {"length_in": share.length_in}
    return {**length, "at_least_share": share.at_least_share, **({} if share.by == "count" else {"by": share.by})}


def _given(table: Cut | Defects | Limits | Stage, *, but: str = "length_shares") -> Content:
    values = {field.name: getattr(table, field.name) for field in fields(table) if field.name != but}
    return {name: value for name, value in values.items() if value is not None}
