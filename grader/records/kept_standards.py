"""The house's own standards on this machine: versions that are never edited, only succeeded by the next.

None can be edited, or taken out of the middle, without its being told: see `kept_files`. Who rewrites all files from
one version on isn't told by the files themselves, but by the hashes in `judged.jsonl` and in the results of plates.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from grader.errors import DocumentFaulty, Fault, GraderError
from grader.new_files import write_new
from grader.places import home_folder
from grader.records.kept_files import Kept, Signed, kept_text, read_kept
from grader.records.standard_uses import USES, Use, note_use, read_uses
from grader.standard import changes, load_shipped, standard_sha256
from grader.standard.model import Standard

FOLDER = "standards"
BY_AT_MOST, WHY_AT_MOST = 120, 1000
"""Characters."""
_KEY = re.compile(r"[a-z0-9][a-z0-9._-]{0,39}")


class KeptChanged(DocumentFaulty):
    """The files of a kept standard aren't what the program wrote."""


def standards_folder() -> Path:
    """Where the house's standards are kept on this machine."""
    return home_folder() / FOLDER


def kept_keys(folder: Path) -> tuple[str, ...]:
    """What the kept standards are called, in alphabetical order; none where there is no such folder.

    A folder without a version is none, unless one judged plates: the first could not be written.
    """
    return tuple(sorted(path.name for path in folder.glob("*") if any(path.glob("*.toml")) or (path / USES).exists()))


def load_kept(folder: Path, key: str) -> tuple[Kept, ...]:
    """All versions of one kept standard, the first first; none where none is kept under this key.

    Raises
    ------
    KeptChanged
        With everything about its files that isn't as the program wrote it.
    """
    faults: list[tuple[str, str]] = []
    versions: list[Kept] = []
    for turn, path in enumerate(sorted((folder / key).glob("*.toml")), 1):
        kept = read_kept(path.read_bytes(), key=key, turn=turn)
        if kept is None:
            faults.append((path.name, "was changed since it was kept"))
        elif path.name != _name(turn):
            faults.append((path.name, "is not the next version; one before it was taken away"))
        elif not faults and kept.before != (versions[-1].seal if versions else ""):
            faults.append((path.name, "succeeds another version than that before it, which was replaced"))
        else:
            versions.append(kept)
    there = {kept.sha256 for kept in versions}
    if not faults and any(use.sha256 not in there for use in read_uses(folder / key)):
        faults.append((USES, "names a version that judged plates and is no longer here"))
    if faults:
        hint = "Put its files back as they were, from a copy. To change a standard, succeed it."
        raise KeptChanged(f"The kept standard {key}", _as_faults(faults), hint=hint)
    return tuple(versions)


def keep_standard(folder: Path, key: str, standard: Standard, signed: Signed, *, succeeds: bool) -> Kept:
    """Keep a standard: the first version under a key, or one that succeeds what is kept there.

    Raises
    ------
    DocumentFaulty
        With everything that speaks against it: fields `key`, `version`, `by`, `why`.
    KeptChanged
        The versions before it aren't as they were kept.
    OSError
        It can't be written, or somebody else kept one in this very moment.
    """
    earlier = load_kept(folder, key) if _KEY.fullmatch(key) else ()
    faults = [*_about_key(key, earlier, succeeds=succeeds), *_about_version(standard, earlier), *_about_hand(signed)]
    if faults:
        raise DocumentFaulty("What is to be kept", _as_faults(faults), hint="Nothing was kept.")
    text = kept_text(standard, signed, before=earlier[-1].seal if earlier else "")
    kept = read_kept(text.encode(), key=key, turn=len(earlier) + 1)
    if kept is None or kept.standard != standard.as_read:
        raise GraderError("This standard would not come back as it is.", hint="Nothing was kept. Report this, please.")
    (folder / key).mkdir(parents=True, exist_ok=True)
    write_new(folder / key / _name(kept.turn), text)
    return kept


def next_version(versions: Sequence[Kept]) -> str:
    """A version's number that none of these has."""
    taken = {kept.standard.version for kept in versions}
    return next(str(number) for number in range(len(versions) + 1, 2 * len(versions) + 2) if str(number) not in taken)


def note_judged(folder: Path, standard: Standard, *, plates: int, at: datetime) -> None:
    """Record that a standard judged plates, wherever it is kept; nothing is recorded of one that isn't.

    Raises
    ------
    OSError
        It can't be written.
    """
    sha256 = standard_sha256(standard)
    for key in kept_keys(folder):
        if any(kept.sha256 == sha256 for kept in _readable(folder, key)):
            note_use(folder / key, Use(sha256=sha256, at=at, plates=plates))


def check_not_edited(folder: Path, standard: Standard) -> None:
    """Refuse a standard that goes by the name and version of a kept one, or one that ships, and has other values.

    Raises
    ------
    GraderError
        With what differs.
    """
    hint = "Give the file a version of its own, or let it succeed the kept one: standard succeed {}."
    kept = [(one.standard, "is kept", hint.format(key)) for key in kept_keys(folder) for one in _readable(folder, key)]
    ships = [(one, "ships", "Give the file a name or a version of its own.") for one in load_shipped().values()]
    for then, there, remedy in kept + ships:
        if (then.name, then.version) == (standard.name, standard.version) and then != standard.as_read:
            differs = "; ".join(changes(then, standard.as_read))
            told = f"{then.name}, version {then.version}, {there} with other values: {differs}."
            raise GraderError(told, hint=remedy)


def uses_of(folder: Path, kept: Kept) -> tuple[Use, ...]:
    """The runs in which one version judged plates, the earliest first."""
    return tuple(use for use in read_uses(folder / kept.key) if use.sha256 == kept.sha256)


def _readable(folder: Path, key: str) -> tuple[Kept, ...]:
    """The versions under a key; none where they were changed, which is told where that one is asked for."""
    try:
        return load_kept(folder, key)
    except KeptChanged:
        return ()


def _about_key(key: str, earlier: Sequence[Kept], *, succeeds: bool) -> Iterator[tuple[str, str]]:
    if not _KEY.fullmatch(key):
        yield "key", f'is "{key}"; it can have small letters, digits, dots, dashes and underscores, 40 at most'
    elif key in load_shipped():
        yield "key", f"is {key}, the name of a standard that ships; call yours otherwise"
    elif earlier and not succeeds:
        yield "key", f"is {key}, which is kept already; succeed that one, or call this one otherwise"
    elif succeeds and not earlier:
        yield "key", f"is {key}, under which nothing is kept yet"


def _about_version(standard: Standard, earlier: Sequence[Kept]) -> Iterator[tuple[str, str]]:
    if not earlier:
        return
    newest = earlier[-1].standard
    if not changes(replace(newest, version=standard.version), standard):
        yield "version", f"changes nothing since version {newest.version}"
    for kept in earlier:
        if kept.standard.version.casefold() == standard.version.casefold():
            yield "version", f'is "{standard.version}", which was kept on {kept.signed.at:%Y-%m-%d}; give a new one'


def _about_hand(signed: Signed) -> Iterator[tuple[str, str]]:
    told = (("by", signed.by, BY_AT_MOST, "your initials"), ("why", signed.why, WHY_AT_MOST, "the reason"))
    for field, text, most, wanted in told:
        if not text.strip():
            yield field, f"is blank; give {wanted}"
        elif len(text) > most:
            yield field, f"has {len(text)} characters; {most} at most"


def _as_faults(told: Sequence[tuple[str, str]]) -> tuple[Fault, ...]:
    return tuple(Fault(line=None, field=field, message=message) for field, message in told)


def _name(turn: int) -> str:
    return f"{turn:04}.toml"
