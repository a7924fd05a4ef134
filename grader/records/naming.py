"""What the files of a photo's results are called, and which files are results and not photos."""

import re
from collections.abc import Callable
from pathlib import PurePath

READINGS = ".json"
LABELS = ".labels.png"
PICTURE = ".graded.jpg"
OUTLINED = ".outlined.jpg"
SUMMARY = "summary.json"
FRIES = "fries.csv"

PHOTO_SUFFIXES = frozenset({".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".heic", ".heif"})
_NOT_A_PHOTO = (".mask.png", LABELS, PICTURE, OUTLINED)


def is_photo(name: str) -> bool:
    """Whether a file of this name may be a photo: pictures of masks, labels and earlier results are not."""
    low = name.lower()
    if low.startswith(".") or low.endswith(_NOT_A_PHOTO):
        return False
    return PurePath(low).suffix in PHOTO_SUFFIXES


def as_counted(name: str) -> list[str | int]:
    """To sort names by as people count: basket 2 before basket 10, whatever the capitals."""
    parts = re.split(r"([0-9]+)", name.casefold())  # words and numbers in turn, so that like is held against like
    return [int(part) if turn % 2 else part for turn, part in enumerate(parts)]


class ResultNames:
    """Gives each photo of a run its own stem for the files of its results.

    A photo keeps its own stem. Where an earlier photo of the run has it already (same name in another folder, or the
    same name with another ending), the later one gets `-2`, `-3`, ... behind it; its readings say which photo it was.
    Capitals make no difference, because some file systems know none.
    """

    def __init__(self) -> None:
        self._taken = {PurePath(SUMMARY).stem}

    def give(self, photo_name: str, *, held: Callable[[str], bool] = lambda _: False) -> str:
        """The stem for the next photo; none that is `held` for another."""
        stem = PurePath(photo_name).stem or "photo"
        name, count = stem, 1
        while name.casefold() in self._taken or held(name):
            count += 1
            name = f"{stem}-{count}"
        self.take(name)
        return name

    def take(self, stem: str) -> None:
        """Note a stem that a photo has already."""
        self._taken.add(stem.casefold())
