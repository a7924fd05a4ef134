"""A house standard while it is edited: its fields as flat values that may be faulty, and back again without loss.

A field is named as in the file, `scale.target_to`; an entry of a list by a number of its own that it keeps when others
come and go, `scale.steps.3.name`; the list itself holds those numbers in their order.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args

from grader.errors import DocumentFaulty, Fault
from grader.standard import Standard, read_standard, standard_content, write_content
from grader.standard.model import FINISHED, StageName

Content = dict[str, Any]
Values = dict[str, Any]

STEPS, SHARES = "scale.steps", "limits.length_shares"
OTHER_STAGES: tuple[StageName, ...] = tuple(name for name in get_args(StageName) if name != FINISHED)
TOP = ("schema_version", "name", "version", "note", "length_is", "surface", "plate_height_above_card_mm")
TABLES: Mapping[str, Sequence[str]] = {
    "scale": ("target_from", "target_to", "off_scale_de"),
    "cut": ("name", "width_mm", "tolerance_mm", "skin_on"),
    "defects": (
        "piece_from_mm",
        "short_below_mm",
        "scrap_below_mm",
        "sliver_below_width_mm",
        "dark_end_from_mm",
        "dark_end_from_dl",
        "spot_from_mm",
        "curved_from_bow_share",
        "torn_end_from_mm",
    ),
    "limits": (
        "spread_steps_at_most",
        "out_of_target_at_most",
        "short_share_at_most",
        "scrap_share_at_most",
        "crumb_share_at_most",
        "sliver_share_at_most",
        "width_off_share_at_most",
        "dark_end_share_at_most",
        "spotted_share_at_most",
        "curved_share_at_most",
        "torn_end_share_at_most",
    ),
}
STAGE_FIELDS = (
    "target_from",
    "target_to",
    "surface",
    "spread_steps_at_most",
    "out_of_target_at_most",
    "dark_end_share_at_most",
    "spotted_share_at_most",
)


def values_of(standard: Standard) -> Values:
    """A standard's fields; None is a field that was left out."""
    content = standard_content(standard)
    stages = content.get("stages", {})
    values: Values = {key: content[key] for key in TOP}
    for table, keys in TABLES.items():
        values |= {f"{table}.{key}": content[table].get(key) for key in keys}
    for name in OTHER_STAGES:
        values[f"stages.{name}"] = name in stages
        values |= {f"stages.{name}.{key}": stages.get(name, {}).get(key) for key in STAGE_FIELDS}
    values[STEPS] = list(range(len(content["scale"]["steps"])))
    for number, step in enumerate(content["scale"]["steps"]):
        values |= step_values(number, step["name"], step["lab"])
    values[SHARES] = list(range(len(content["limits"]["length_shares"])))
    for number, share in enumerate(content["limits"]["length_shares"]):
        values |= share_values(number, share)
    return values


def step_values(number: int, name: str | None, lab: Sequence[float | None]) -> Values:
    """The fields of one step."""
    at = f"{STEPS}.{number}"
    return {f"{at}.name": name, **{f"{at}.{axis}": value for axis, value in zip("Lab", lab, strict=True)}}


def share_values(number: int, share: Mapping[str, Any]) -> Values:
    """The fields of one length share, its length in the unit in which it is written."""
    at = f"{SHARES}.{number}"
    unit = "in" if "length_in" in share else "mm"
    return {
        f"{at}.length": share.get(f"length_{unit}"),
        f"{at}.unit": unit,
        f"{at}.at_least_share": share.get("at_least_share"),
        f"{at}.by": share.get("by", "count"),
    }


def content_of(values: Mapping[str, Any]) -> Content:
    """The content of the file that these values make, faulty or not."""
    content = _given({key: values[key] for key in TOP})
    for table, keys in TABLES.items():
        content[table] = _given({key: values[f"{table}.{key}"] for key in keys})
    content["scale"]["steps"] = [_step(values, f"{STEPS}.{number}") for number in values[STEPS]]
    content["limits"]["length_shares"] = [_share(values, f"{SHARES}.{number}") for number in values[SHARES]]
    stages = {
        name: _given({key: values[f"stages.{name}.{key}"] for key in STAGE_FIELDS})
        for name in OTHER_STAGES
        if values[f"stages.{name}"]
    }
    return {**content, "stages": stages} if stages else content


def _step(values: Mapping[str, Any], at: str) -> Content:
    lab = [values[f"{at}.{axis}"] for axis in "Lab"]
    return _given({"name": values[f"{at}.name"], "lab": None if None in lab else lab})


def _share(values: Mapping[str, Any], at: str) -> Content:
    by = values[f"{at}.by"]
    return _given(
        {
            f"length_{values[f'{at}.unit']}": values[f"{at}.length"],
            "at_least_share": values[f"{at}.at_least_share"],
            "by": None if by == "count" else by,
        }
    )


def _given(table: Content) -> Content:
    return {key: value for key, value in table.items() if value is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What a draft says: the standard, None where it has faults; the faults by the field that they stand beside."""

    standard: Standard | None
    faults: Mapping[str, Sequence[str]]

    @property
    def count(self) -> int:
        """How many faults there are."""
        return sum(len(messages) for messages in self.faults.values())


def checked(values: Mapping[str, Any]) -> Checked:
    """Read a draft as its file would be read."""
    try:
        return Checked(standard=read_standard(write_content(content_of(values)), name="This standard"), faults={})
    except DocumentFaulty as error:
        faults: dict[str, list[str]] = {}
        for fault in error.faults:
            faults.setdefault(_beside(fault, values), []).append(fault.message)
        return Checked(standard=None, faults=faults)


def _beside(fault: Fault, values: Mapping[str, Any]) -> str:
    """The field of the draft that a fault of the file belongs to: entries of lists by their own numbers."""
    for name in (STEPS, SHARES):
        for place, number in enumerate(values[name], 1):
            entry = f"{name}[{place}]"
            if fault.field.startswith(entry):
                return f"{name}.{number}"
    return fault.field
