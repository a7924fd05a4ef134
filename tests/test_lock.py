"""The pinned lock and the list of parts made from it agree with each other and with what the project asks for."""

import json
import re
import tomllib
from collections import defaultdict
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

ROOT = Path(__file__).parent.parent
LOCK, PARTS = ROOT / ".lock" / "requirements.txt", ROOT / ".lock" / "sbom.cdx.json"


def _locked() -> dict[str, set[Version]]:
    """By name, what is pinned, for one Python or another; every one of them with hashes."""
    found: dict[str, set[Version]] = defaultdict(set)
    for block in re.split(r"\n(?=\S)", LOCK.read_text(encoding="utf-8")):
        if pinned := re.match(r"([A-Za-z0-9._-]+)==([^\s;\\]+)", block):
            assert "--hash=sha256:" in block, f"{pinned[0]} has no hash"
            found[canonicalize_name(pinned[1])].add(Version(pinned[2]))
    return dict(found)


def test_the_lock_pins_all_that_the_project_asks_for() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *(one for extra in project["optional-dependencies"].values() for one in extra)]
    locked = _locked()
    assert len(locked) > len(asked)
    for requirement in map(Requirement, asked):
        if requirement.marker is None or requirement.marker.evaluate():
            assert all(one in requirement.specifier for one in locked[canonicalize_name(requirement.name)]), requirement


def test_the_list_of_parts_is_that_of_the_lock() -> None:
    parts = json.loads(PARTS.read_text(encoding="utf-8"))
    assert parts["bomFormat"] == "CycloneDX"
    listed: dict[str, set[Version]] = defaultdict(set)
    for part in parts["components"]:
        listed[canonicalize_name(part["name"])].add(Version(part["version"]))
    assert dict(listed) == _locked()
