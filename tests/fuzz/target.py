"""What is fuzzed: a door by which a stranger's bytes come in, good inputs to begin with, and ways to spoil them."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random

from tests.fuzz.mutating import Mutator

Read = Callable[[bytes], object]
"""Reads one input; what it refuses it refuses by a `GraderError`. Anything else that it raises is a crash."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """One door.

    Attributes
    ----------
    seeds
        Good inputs; files that it needs it writes into the folder that it is given.
    ways
        How inputs are spoiled.
    open
        Gives the reader; called once in the process that reads, with the same folder after `seeds` has filled it.
    share
        How much of the time it gets, in proportion.
    """

    name: str
    seeds: Callable[[Path], Sequence[bytes]]
    ways: tuple[Mutator, ...]
    open: Callable[[Path], Read]
    share: float = 1.0


def in_folder(files: Mapping[str, bytes], ways: Mapping[str, tuple[Mutator, ...]]) -> tuple[list[bytes], Mutator]:
    """Seeds and the way to spoil them for a door that takes a folder: an input is a file's name, a newline, its bytes.

    `ways` names by their ending how files are spoiled.
    """

    def change(random: Random, data: bytes) -> bytes:
        name, _, body = data.partition(b"\n")
        own = ways.get(name.decode(errors="replace").rpartition(".")[2])
        return data if own is None else name + b"\n" + random.choice(own)(random, body)

    return [name.encode() + b"\n" + body for name, body in files.items()], change


def files_of(folder: Path) -> dict[str, bytes]:
    """All files of a folder by their path in it."""
    return {str(one.relative_to(folder)): one.read_bytes() for one in sorted(folder.rglob("*")) if one.is_file()}


def with_file(folder: Path, read: Callable[[], object]) -> Read:
    """A reader of a folder in which one file is another; afterwards it is as it was."""
    files = {str(one.relative_to(folder)): one for one in folder.rglob("*") if one.is_file()}

    def reading(data: bytes) -> object:
        name, _, body = data.partition(b"\n")
        path = files.get(name.decode(errors="replace"))
        if path is None:
            return None
        good = path.read_bytes()
        path.write_bytes(body)
        try:
            return read()
        finally:
            path.write_bytes(good)

    return reading
