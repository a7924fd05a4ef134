"""Folder runs with a made-up pipeline, in this process or with workers that only pretend."""

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Self

from grader.grading import METHOD_VERSION, GradedPhoto
from grader.records.summary import BatchEntry
from grader.running.batches import KeeperOf
from grader.running.crew import Crew, Here, Pending, WorkerEnded
from grader.running.folder import run
from grader.running.one_photo import Grading, PhotoTask
from grader.running.photo_batch import PhotoBatch
from tests.records import made_up


class MadeUp:
    """A made-up pipeline that notes what it grades; photos with "refused" in their name are refused."""

    def __init__(self, *, dies_at: int | None = None) -> None:
        self.asked: list[str] = []
        self._dies_at = dies_at

    def __call__(self, data: bytes, *, name: str, **_: Any) -> GradedPhoto:
        if len(self.asked) == self._dies_at:
            raise KeyboardInterrupt
        self.asked.append(name)
        graded = made_up.refused(name) if "refused" in name else made_up.graded(name)
        return replace(graded, sha256=hashlib.sha256(data).hexdigest(), method_version=METHOD_VERSION)


class Pretends:
    """Workers that only pretend: `answer` says what comes of a photo, else it is graded here."""

    here, at_once = False, 4

    def __init__(self, answer: Callable[[PhotoTask], Pending[Any] | None]) -> None:
        self._answer = answer

    def hand_in(self, do: Callable[[Any], Any], task: Any) -> Pending[Any]:
        return self._answer(task) or Here().hand_in(do, task)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *told: object) -> None:
        pass


class Ended:
    def result(self) -> None:
        raise WorkerEnded("The program ended on it.", hint="It may need more memory.")


def plates(top: Path, *names: str) -> tuple[PhotoBatch, ...]:
    """Photos with bytes of their own, a batch for each folder in their names."""
    for name in names:
        (top / name).parent.mkdir(parents=True, exist_ok=True)
        (top / name).write_bytes(f"made up {name}".encode())
    folders = sorted({(top / name).parent for name in names})
    return tuple(PhotoBatch(name=one.name, photos=tuple(sorted(one.iterdir()))) for one in folders)


def go(
    batches: Sequence[PhotoBatch],
    out: Path,
    *,
    crew: Crew | None = None,
    grading: Grading | None = None,
    keeper_of: KeeperOf | None = None,
    on_batch: Callable[[BatchEntry], None] = lambda _: None,
) -> None:
    """One whole run; what becomes of each batch is handed on and let go of."""
    chosen = grading or Grading(standard=made_up.standard())
    for entry in run(batches, grading=chosen, out=out, crew=crew or Here(), tell=lambda *_: None, keeper_of=keeper_of):
        on_batch(entry)


def results(out: Path) -> dict[str, bytes]:
    """Everything that a run wrote but its journal."""
    return {
        str(path.relative_to(out)): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file() and path.name != ".finished.jsonl"
    }
