"""Which photos a call means, and which of them are one batch."""

import os
from collections.abc import Iterator, Sequence
from pathlib import Path

from grader.errors import GraderError
from grader.records.naming import PHOTO_SUFFIXES, is_photo
from grader.running.photo_batch import PhotoBatch
from grader.utf8_text import is_text


class NothingToGradeError(GraderError, ValueError):
    """The call names no photo, or something that isn't there."""


def _folders(top: Path, left_out: Path) -> Iterator[tuple[Path, tuple[Path, ...], tuple[Path, ...]]]:
    """Each folder below `top`, its photos and its linked folders; hidden ones and the results' own are left out.

    Links aren't followed: they may lead round in a circle, or to what is no batch.
    """
    for where, below, files in os.walk(top):
        folder = Path(where)
        below[:] = sorted(name for name in below if not name.startswith(".") and (folder / name).resolve() != left_out)
        photos = tuple(folder / name for name in sorted(files) if is_photo(name))
        yield folder, photos, tuple(folder / name for name in below if (folder / name).is_symlink())


def _batch_name(folder: Path, top: Path) -> str:
    inside = folder.relative_to(top).as_posix()
    return top.resolve().name if inside == "." else inside


def gather(named: Sequence[Path], *, out: Path) -> tuple[tuple[PhotoBatch, ...], tuple[Path, ...]]:
    """Sort what a call names into batches.

    All photos named one by one are one batch. A folder's own photos are one batch, and each folder below it that
    holds photos is another; masks, labels, graded pictures and what is no photo are left out.

    Parameters
    ----------
    named
        Photos and folders.
    out
        Where the results go: never taken for photos.

    Returns
    -------
    batches, left_out
        The batches; and files named one by one that are no photos, with folders inside the named ones that are links.

    Raises
    ------
    NothingToGradeError
        Something isn't there, or no photo is left, or the results have no folder or would land among the photos, or
        the name of a photo or of its folder is no text.
    """
    missing = [str(path) for path in named if not path.exists()]
    if missing:
        raise NothingToGradeError(f"There is no {', no '.join(missing)}.", hint="Check how it is spelled.")
    single = [path for path in named if not path.is_dir()]
    left_out = [path for path in single if path.suffix and not is_photo(path.name)]
    chosen = tuple(dict.fromkeys(path for path in single if path not in left_out))
    batches = [PhotoBatch(name="photos", photos=chosen)] if chosen else []
    for top in (path for path in named if path.is_dir()):
        for folder, photos, links in _folders(top, out.resolve()):
            batches += [PhotoBatch(name=_batch_name(folder, top), photos=photos)] if photos else []
            left_out += links
    if not batches:
        endings = ", ".join(sorted(PHOTO_SUFFIXES))
        raise NothingToGradeError("There is no photo to grade.", hint=f"Photos are files that end in {endings}.")
    _check_apart(batches, out)
    _check_names(batches)
    return tuple(batches), tuple(left_out)


def _check_names(batches: Sequence[PhotoBatch]) -> None:
    """A result is kept under its photo's and its batch's name; bytes of another system's alphabet can't be written."""
    names = [name for batch in batches for name in (batch.name, *(photo.name for photo in batch.photos))]
    wrong = [name.encode(errors="replace").decode() for name in names if not is_text(name)]
    if wrong:
        raise NothingToGradeError(
            f"These names are no text in this system's alphabet: {', '.join(wrong)}.",
            hint="Rename them, then try again: a ? stands for each sign that can't be read.",
        )


def _check_apart(batches: Sequence[PhotoBatch], out: Path) -> None:
    """The results have a folder that is none of the photos' own: a NAME.json beside a photo may be someone's truth."""
    if out.exists() and not out.is_dir():
        raise NothingToGradeError(f"{out} is a file, not a folder.", hint="Name a folder after --out.")
    if any(photo.parent.resolve() == out.resolve() for batch in batches for photo in batch.photos):
        raise NothingToGradeError(
            f"The results would land among the photos in {out}.", hint="Name another folder after --out."
        )
