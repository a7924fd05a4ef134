"""A folder with one folder inside it for each step of a scale, and in that the photos of the step's plates."""

import hashlib
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from grader.errors import GraderError
from grader.records.naming import is_photo
from grader.scale_fit import check_steps


class StepFoldersError(GraderError, ValueError):
    """A step has no folder, one photo is of two steps, or the new standard would go over an old one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepFolders:
    """The photos with their steps, in the order of the steps; in words, what beside them was left out."""

    photos: tuple[tuple[str, Path], ...]
    left_out: tuple[str, ...]


def check_new(out: Path) -> None:
    """Refuse to write over a standard: results may rest on it.

    Raises
    ------
    StepFoldersError
        The file is there.
    """
    if out.exists():
        raise StepFoldersError(
            f"{out} is there already.", hint="Results may rest on it: name a new file, with a new version."
        )


def look_through_steps(folder: Path, *, steps: Sequence[str], right: Sequence[str]) -> StepFolders:
    """The photos that lie in the steps' own folders; a photo that lies there twice is one plate and counts once.

    Raises
    ------
    StepFoldersError
        A step without a folder; the same photo in the folders of two steps.
    PlatesInsufficientError
        Too few steps, too few photos of one, right steps that are none.
    OSError
        A photo can't be read.
    """
    there = sorted(one.name for one in folder.iterdir() if one.is_dir() and not one.name.startswith("."))
    lacking = [step for step in steps if step not in there]
    if lacking:
        raise StepFoldersError(
            f"There is no folder in {folder} for {', '.join(lacking)}.",
            hint=f"A step is the name of a folder with its photos; there are: {', '.join(there) or 'none'}.",
        )
    seen: dict[str, tuple[str, Path]] = {}
    copies = []
    for step in steps:
        for path in sorted(one for one in (folder / step).iterdir() if one.is_file() and is_photo(one.name)):
            step_before, path_before = seen.setdefault(hashlib.sha256(path.read_bytes()).hexdigest(), (step, path))
            if step_before != step:
                raise StepFoldersError(
                    f"{path_before} and {path} are the same photo.", hint="A plate is of one step: take one away."
                )
            if path_before != path:
                copies.append(path)
    check_steps(Counter(step for step, _ in seen.values()), steps=steps, right=right)
    left_out = [f"Left out, being no step: the folder {name}." for name in there if name not in steps]
    left_out += [f"Left out, being a copy of another photo: {path}." for path in copies]
    return StepFolders(photos=tuple(seen.values()), left_out=tuple(left_out))
