"""A batch at the pass that nobody finished yet, kept on disk from its first photo on: a phone may lose its page.

Each has a folder of its own, named by the SHA-256 of its visit's secret: photos by their hash, and one JSON file. It
goes when the batch is finished, or when nobody touched it for two days.
"""

import json
import shutil
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from pathlib import Path

from grader.places import home_folder
from grader.records.database import Kept
from grader.records.whole_files import write_whole

LASTS = timedelta(days=2)
_FILE = "batch.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenShot:
    """One photo of it: its bytes, what it shows, seconds after the lift, a cook's call, what records know of it."""

    name: str
    data: bytes
    what: str
    lifted_s: float | None
    called: str
    kept: Kept | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBatch:
    """The batch's name and its photos in their order."""

    name: str
    shots: tuple[OpenShot, ...]


def batches_folder() -> Path:
    """Where they lie in the house's own data."""
    return home_folder() / "open-batches"


def keep_open(folder: Path, visit: str, batch: OpenBatch) -> None:
    """Keep a batch as it is now; photos that are there already aren't written again.

    Raises
    ------
    OSError
        The folder can't be written.
    """
    place = _place(folder, visit)
    place.mkdir(parents=True, exist_ok=True, mode=0o700)
    shots = []
    for shot in batch.shots:
        file = place / sha256(shot.data).hexdigest()
        if not file.exists():
            write_whole(file, shot.data)
        shots.append(
            {
                "name": shot.name,
                "photo": file.name,
                "what": shot.what,
                "lifted_s": shot.lifted_s,
                "called": shot.called,
                "kept": None if shot.kept is None else asdict(shot.kept),
            }
        )
    write_whole(place / _FILE, json.dumps({"name": batch.name, "shots": shots}).encode())


def open_batch(folder: Path, visit: str) -> OpenBatch | None:
    """The batch of a visit; None where there is none, or where its file or a photo can't be read."""
    place = _place(folder, visit)
    with suppress(OSError, ValueError, TypeError, KeyError):
        told = json.loads((place / _FILE).read_text(encoding="utf-8"))
        return OpenBatch(name=str(told["name"]), shots=tuple(_shot(place, one) for one in told["shots"]))
    return None


def close_batch(folder: Path, visit: str) -> None:
    """Forget a batch: it is finished. Those that nobody touched for long go too."""
    shutil.rmtree(_place(folder, visit), ignore_errors=True)
    before = (datetime.now(UTC) - LASTS).timestamp()
    for place in folder.iterdir() if folder.exists() else ():
        with suppress(OSError):
            if (place / _FILE).stat().st_mtime < before:
                shutil.rmtree(place, ignore_errors=True)


def _shot(place: Path, told: Mapping[str, object]) -> OpenShot:
    kept, lifted = told["kept"], told["lifted_s"]
    return OpenShot(
        name=str(told["name"]),
        data=(place / _photo_name(told["photo"])).read_bytes(),
        what=str(told["what"]),
        lifted_s=None if lifted is None else float(str(lifted)),
        called=str(told["called"]),
        kept=Kept(**kept) if isinstance(kept, dict) else None,
    )


def _photo_name(told: object) -> str:
    """A photo's file name; anything that isn't one is refused, whoever wrote the file.

    Raises
    ------
    ValueError
        It is none.
    """
    name = str(told)
    if len(name) != 64 or not set(name) <= set("0123456789abcdef"):
        raise ValueError(name)
    return name


def _place(folder: Path, visit: str) -> Path:
    return folder / sha256(visit.encode()).hexdigest()[:32]
