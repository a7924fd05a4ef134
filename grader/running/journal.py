"""What a run has finished, in its output folder: a run that begins again there goes on from it.

A photo's results are known by the photo's hash and by all that they follow from (standard, stage, method, question,
values of cards, studies), never by a name alone. A line is written after a photo's files are whole, and is taken at its
word only while they are there. The newest line of a result's name counts.
"""

import base64
import binascii
import hashlib
import json
import os
import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import IO

from grader.added_lines import drop_torn_end, lock
from grader.card_values import CardValues, write_values
from grader.decision import Terms
from grader.errors import GraderError
from grader.grading import METHOD_VERSION, GradedPhoto
from grader.records.json_values import NOT_AS_WRITTEN
from grader.running.exact import as_json, from_json
from grader.standard import standard_sha256
from grader.standard.model import Standard
from grader.trueness import Study
from grader.trueness.documents import write_study

JOURNAL = ".finished.jsonl"
_IDS = 3
"""Of a kept photo in the records: its grading, plate and batch."""
_UNPACKED_AT_MOST = 2**26
"""Bytes of a photo in the journal: a thousand fries take some 2 MB, and a folder may come from anybody."""


def follows_from(standard: Standard, terms: Terms, values: Sequence[CardValues], studies: Sequence[Study]) -> str:
    """A hash of all that a photo's results follow from besides the photo and the day on which it is graded."""
    told = [METHOD_VERSION, standard_sha256(standard), standard.stage, json.dumps(as_json(terms))]
    told += [write_values(one) for one in values]
    told += [write_study(one).decode() for one in studies]
    return hashlib.sha256("\0".join(told).encode()).hexdigest()


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """One photo whose results are written.

    Attributes
    ----------
    stem
        The name of its result files before their endings, `files`.
    photo, source, sha256
        The photo's own name, where it lay, and the hash of its bytes.
    follows_from
        As `follows_from` gives it.
    records, kept
        Into which records it was kept, and its grading, plate and batch there; empty where it wasn't.
    """

    stem: str
    photo: str
    source: str
    sha256: str
    follows_from: str
    files: tuple[str, ...] = ()
    records: str = ""
    kept: tuple[int, ...] = ()


class Journal:
    """The journal of one output folder, open for one run."""

    def __init__(self, folder: Path, file: IO[bytes], values: Sequence[CardValues]) -> None:
        self._folder, self._file, self._values = folder, file, tuple(values)
        self._lines: dict[str, tuple[Finished, int]] = {}
        for start, line in _lines(file):
            told, _, _ = line.partition(b"\t")
            finished = from_json(Finished, json.loads(told))
            self._lines[finished.stem.casefold()] = (finished, start)
        self._by_photo: dict[tuple[str, str, str], list[str]] = {}
        for stem, (one, _) in self._lines.items():
            self._by_photo.setdefault((one.photo, one.sha256, one.follows_from), []).append(stem)

    def take(
        self, photo: str, sha256: str, follows_from: str, *, files: bool, records: str = ""
    ) -> tuple[Finished, GradedPhoto] | None:
        """A photo's results, to be used once, and what it showed, exactly as it was found.

        None where they aren't all there: files, where such are wanted, these records, what it showed.
        """
        stems = self._by_photo.get((photo, sha256, follows_from), [])
        for stem in list(stems):
            one, start = self._lines[stem]
            there = all((self._folder / f"{one.stem}{ending}").exists() for ending in one.files)
            kept = not records or (one.records == records and len(one.kept) == _IDS)
            graded = self._graded(start) if there and kept and (one.files or not files) else None
            if graded is not None:
                stems.remove(stem)
                return one, graded
        return None

    def _graded(self, start: int) -> GradedPhoto | None:
        """What the photo of a line showed; None where that isn't as it was written."""
        self._file.seek(start)
        _, _, packed = self._file.readline().partition(b"\t")
        unpacking = zlib.decompressobj()
        try:
            told = json.loads(unpacking.decompress(base64.b64decode(packed), _UNPACKED_AT_MOST))
            values = told.pop("values")
            graded = from_json(GradedPhoto, told)
            return graded if values is None else replace(graded, values=self._values[values])
        except (*NOT_AS_WRITTEN, zlib.error):
            return None

    def add(self, one: Finished, graded: GradedPhoto) -> None:
        """Note that a photo's results are written; `graded` without its pixels."""
        told = {**as_json(replace(graded, values=None)), "values": self._turn_of(graded.values)}
        packed = base64.b64encode(zlib.compress(json.dumps(told).encode(), 1))
        start = self._file.seek(0, os.SEEK_END)
        self._file.write(json.dumps(asdict(one)).encode() + b"\t" + packed + b"\n")
        self._file.flush()  # a line lost with the machine's power costs grading one photo again
        self._lines[one.stem.casefold()] = (one, start)

    def held(self, stem: str, source: str, follows_from: str) -> bool:
        """Whether results of that name are another photo's, which this run may come to."""
        one, _ = self._lines.get(stem.casefold(), (None, 0))
        return one is not None and one.follows_from == follows_from and one.source != source

    def _turn_of(self, values: CardValues | None) -> int | None:
        """Which of the known values of cards these are: a copy from another process has no other mark."""
        if values is None:
            return None
        text = write_values(values)
        return next(turn for turn, known in enumerate(self._values) if write_values(known) == text)


class FolderInUse(GraderError, RuntimeError):
    """Another run writes its results there."""


@contextmanager
def journal_of(folder: Path, values: Sequence[CardValues]) -> Iterator[Journal]:
    """The journal of a folder, begun where there is none; values are those that the run knows of cards.

    Raises
    ------
    FolderInUse
        Another run is at work there.
    OSError
        It can't be written.
    """
    with (folder / JOURNAL).open("a+b") as file:
        try:
            lock(file, wait=False)
        except BlockingIOError as error:
            hint = "Wait until it ends, or name another folder after --out."
            raise FolderInUse(f"Another run writes its results into {folder}.", hint=hint) from error
        drop_torn_end(file)
        yield Journal(folder, file, values)


def _lines(file: IO[bytes]) -> Iterator[tuple[int, bytes]]:
    """Each line that can be read, with where it begins."""
    file.seek(0)
    start = 0
    for line in file:
        if _whole(line):
            yield start, line
        start += len(line)


def _whole(line: bytes) -> bool:
    told, _, packed = line.partition(b"\t")
    try:
        from_json(Finished, json.loads(told))
        base64.b64decode(packed.strip(), validate=True)
    except (ValueError, TypeError, KeyError, AttributeError, binascii.Error):
        return False
    return bool(packed)
