"""What is to be done next for a study, in plain words: one step at a time."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from grader.trueness.kit_files import KIT, PHOTOS, PIECES, ReadKit
from grader.trueness.model import Kit, PlannedPhoto

BARS = (
    "Make {count} bars: wooden dowels or square sticks, about as thick as your fries, sawn to lengths between a "
    "short fry's and a long fry's, ends square. Paint them matt in fry colours (or use bare brown wood) and write "
    "their names, {names}, underneath. Measure each with a caliper: the length along its middle, the width at "
    "three places (take the middle one). Write both into {file}, in mm, with the caliper's standard uncertainty."
)
CHIPS = (
    "Make {count} chips: matt painted or printed strips, 60 mm by 10 mm, in the browns and tans of your fries, "
    "from palest to darkest, each of one colour all over. Have each measured with a colour instrument (CIELAB, "
    "D65, 2 degrees), or take strips whose values are published, and write them into {file}. Write their names, "
    "{names}, underneath."
)
LAYING = (
    "Turn the card upright, so that you can read it. Places are numbered as you read: 1, 2, 3 at the top from "
    "left to right, 4, 5, 6 in the middle, 7, 8, 9 at the bottom. Lay the pieces of one place side by side, a "
    "finger apart, in the order given: left to right, or top to bottom where they lie across. Leave twice as much "
    "room to the next place. Then take the photo as you would of fries, and give it the name given here."
)
_NO_PHOTO = {".csv", ".json", ".html", ".toml"}
CAUTION = "The pieces are no food and touch none: lay them on a plate or mat of their own, away from the fryer."


@dataclass(frozen=True, slots=True, kw_only=True)
class NextStep:
    """One step: what to do, how many steps like it are left, and whether it is the last (nothing is left to do)."""

    words: str
    left: int
    last: bool = False


def photo_path(folder: Path, planned: PlannedPhoto) -> Path | None:
    """The photo in a kit's folder, by the name in the table or that name with another ending; None where it lacks.

    A picture that was made of it, as NAME.graded.jpg, has another name.
    """
    named = folder / planned.file
    if named.is_file():
        return named
    own = (path for path in folder.iterdir() if path.stem == named.stem and path.suffix.lower() not in _NO_PHOTO)
    return min(own, default=None)


def next_step(folder: Path, read: ReadKit) -> NextStep:
    """The first thing that is not done yet."""
    if read.missing:
        return NextStep(words="\n".join(_filling_in(read)), left=len(read.missing))
    lacking = [photo for photo in read.kit.photos if photo_path(folder, photo) is None]
    if lacking:
        return NextStep(words="\n".join(laying_lines(lacking[0])), left=len(lacking))
    done = f"All {len(read.kit.photos)} photos are there. Make the study: python -m grader trueness study {folder}"
    return NextStep(words=done, left=0, last=True)


def making_lines(kit: Kit) -> Iterator[str]:
    """How the pieces are made and measured."""
    for kind, words in ("bar", BARS), ("chip", CHIPS):
        names = [piece.name for piece in kit.pieces if piece.kind == kind]
        if names:
            yield words.format(count=len(names), names=f"{names[0]} to {names[-1]}", file=PIECES)
    yield f"Fill in {KIT}: the print run of your cards, your initials, and what the pieces were measured with."
    yield CAUTION


def _filling_in(read: ReadKit) -> Iterator[str]:
    yield from making_lines(read.kit)
    shown = 8
    yield (
        "Not filled in yet: "
        + "; ".join(read.missing[:shown])
        + (f"; and {len(read.missing) - shown} more." if len(read.missing) > shown else ".")
    )


def laying_lines(photo: PlannedPhoto) -> Iterator[str]:
    """How one photo is to be laid and taken."""
    yield f"Photo {photo.name} ({photo.kind}s). Light: {photo.light}. {height_words(photo)}"
    yield LAYING
    yield from (f"  place {laid.place}: {', '.join(laid.pieces)}" for laid in photo.laid)
    yield f"Save it as {photo.file} (or with the ending that your phone gives it) beside {PHOTOS}."


def height_words(photo: PlannedPhoto) -> str:
    """How high the pieces lie."""
    if photo.raised_mm == 0:
        return "The pieces lie as fries would."
    return (
        f"The pieces lie {photo.raised_mm:g} mm higher: put the plate on something of that height (measure it, and"
        f" write what you measured into {PHOTOS}); the card stays where it is."
    )
