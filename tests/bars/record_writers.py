"""Processes that keep plates in the same records at the same time."""

from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.synchronize import Barrier

from grader.grading import GradedPhoto
from grader.records.database import Kept, LotFacts, Setting, keep_graded, open_house
from tests.bars.records import graded_plate, house_standard, photo_bytes

WRITERS = 8
_SMALL_PHOTO = 50_000
_READY_WITHIN_S = 120.0
_OFFSET = 10_000
"""Between the photos of one writer and those of the next."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrote:
    """What one writer was told: its own plates, and those that all writers keep."""

    own: tuple[Kept, ...]
    shared: tuple[Kept, ...]


def write_at_once(url: str, photos: str, *, plates: int, shared: int) -> Sequence[Wrote]:
    """Let eight processes open the records at the same moment and keep plates; what goes wrong in one is raised.

    Parameters
    ----------
    plates, shared
        How many plates each writer keeps for itself, and how many all of them keep, each of its own accord.
    """
    context = get_context("forkserver")
    context.set_forkserver_preload(["tests.bars.records", "grader.records.database"])
    ready = context.Barrier(WRITERS)
    with ProcessPoolExecutor(WRITERS, mp_context=context, initializer=_hand_over, initargs=(ready,)) as pool:
        jobs = [pool.submit(_write, url, photos, one, plates=plates, shared=shared) for one in range(WRITERS)]
        return [job.result() for job in jobs]


_ready: Barrier | None = None
"""Where the writers wait for each other; handed to each process as it starts, because jobs can't carry it."""


def _hand_over(ready: Barrier) -> None:
    global _ready  # noqa: PLW0603
    _ready = ready


def _write(url: str, photos: str, writer: int, *, plates: int, shared: int) -> Wrote:
    own = [_graded(number) for number in range((writer + 1) * _OFFSET, (writer + 1) * _OFFSET + plates)]
    common = [_graded(number) for number in range(shared)]
    assert _ready is not None
    _ready.wait(_READY_WITHIN_S)
    house = open_house(url, photos=photos)
    setting = Setting(
        kitchen="Only one",
        zone="Europe/Lisbon",
        fryer="left",
        shift="lunch",
        lot=LotFacts(supplier="Only one", number="7"),
        by="AB",
    )
    kept = [
        keep_graded(house, graded, data, standard=house_standard(), setting=setting) for graded, data in (*common, *own)
    ]
    house.close()
    return Wrote(own=tuple(kept[shared:]), shared=tuple(kept[:shared]))


def _graded(number: int) -> tuple[GradedPhoto, bytes]:
    data = photo_bytes(number, _SMALL_PHOTO)
    return graded_plate(number, data), data
