"""A minute of hostile input for every door, always the same changes; `python -m tests.fuzz` goes on for longer."""

import warnings
from pathlib import Path
from random import Random

import pytest

from grader.errors import GraderError
from tests.fuzz.mutating import BYTES, JSON, LARGEST, TEXT, Mutator, shuffle_lines
from tests.fuzz.running import CORPUS, corpus_folder, drawn, fuzz, table
from tests.fuzz.structures import PICTURES
from tests.fuzz.target import Target
from tests.fuzz.targets import TARGETS

EACH, GRADED_EACH = 30, 3
"""Inputs at a door, times its share; whole gradings take long."""


def _fuzzed(doors: tuple[Target, ...], count: int, folder: Path) -> None:
    rows = list(fuzz(doors, seed=1, count=count, bad=folder))
    print(table(rows))
    assert not {words: file for row in rows for words, file in row.bad.items()}
    assert all(row.inputs >= count for row in rows)


def test_no_door_crashes_hangs_or_takes_the_machines_memory(tmp_path: Path) -> None:
    _fuzzed(tuple(one for one in TARGETS if one.name != "photo, graded"), EACH, tmp_path)


def test_grading_a_spoilt_photo_ends_in_a_result_or_a_refusal(tmp_path: Path) -> None:
    _fuzzed(tuple(one for one in TARGETS if one.name == "photo, graded"), GRADED_EACH, tmp_path)


@pytest.mark.parametrize("door", [one for one in TARGETS if one.name != "photo, graded"], ids=lambda one: one.name)
def test_every_good_input_is_accepted(door: Target, tmp_path: Path) -> None:
    """Or else nothing behind the first check would ever be reached."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        seeds, read = door.seeds(tmp_path), door.open(tmp_path)
        for seed in seeds:
            read(seed)


def test_an_input_can_be_drawn_again() -> None:
    door = next(one for one in TARGETS if one.name == "photo, decoded")
    seeds = door.seeds(Path())
    assert drawn(door, seeds, seed=1, number=7) == drawn(door, seeds, seed=1, number=7)
    assert len({drawn(door, seeds, seed=1, number=number) for number in range(50)}) > 40


@pytest.mark.parametrize("way", dict.fromkeys((*BYTES, *TEXT, *JSON, *PICTURES)))
def test_no_way_to_spoil_needs_what_it_looks_for(way: Mutator) -> None:
    for data in (b"", b"x", b"{}", b"\xff\xd8\xff\xe0\0\x02", b"\x89PNG\r\n\x1a\n"):
        assert isinstance(way(Random(1), data), bytes)  # noqa: S311


def test_a_line_without_an_end_does_not_grow_beyond_all_bounds() -> None:
    """5000 times as long each time: seed 8, input 10459 of the chart beside a photo, took 24 GB and was killed."""
    for seed in range(50):
        random, text = Random(seed), b"A" * 30_000  # noqa: S311
        for _ in range(4):
            text = shuffle_lines(random, text)
        assert len(text) < 5 * LARGEST


def test_what_reads_badly_is_seen() -> None:
    """The harness itself: a crash and a refusal without a hint are told apart from good ones."""
    from tests.fuzz import running

    def read(data: bytes) -> None:
        match data:
            case b"crash":
                raise KeyError(data)
            case b"bare":
                raise GraderError("No.", hint=" ")
            case b"clear":
                raise GraderError("No.", hint="Do otherwise.")

    kinds = [running._read(read, data)[0] for data in (b"crash", b"bare", b"clear", b"good")]
    assert kinds == ["crash", "crash", "refused", "accepted"]


def test_the_corpus_is_small_and_every_part_of_it_has_its_door() -> None:
    files = [path for path in CORPUS.rglob("*") if path.is_file()]
    assert sum(path.stat().st_size for path in files) < 300_000
    assert {path.parent for path in files} <= {corpus_folder(door) for door in TARGETS}
