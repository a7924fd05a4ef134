"""How fast a folder of plates is graded with one worker and with two, and what memory each worker holds meanwhile.

`python -m tests.bars.folder_speed [PLATES]` prints it for so many plates (100), with the load of the machine.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from dataclasses import dataclass
from itertools import cycle, islice
from pathlib import Path

SMALL = Path(__file__).parents[1] / "plates"
TWELVE_FRIES = ("ink065", "ink069", "pair01-A", "pair01-FL11", "plain101", "plain105")
"""The quickest of the small plates: what is measured is how the work is shared out, not the work."""
TICKS_A_SECOND = os.sysconf("SC_CLK_TCK")
SAMPLED_EVERY_SECONDS = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class FolderRun:
    """One run over a folder.

    Attributes
    ----------
    seconds
        From the command's start to its end.
    busiest_seconds
        Processor time of its busiest process: what it would take at least, had each a core of its own.
    load
        Processes of the whole machine that wanted a core in the last minute, as the run ended.
    growth
        Of each worker: its highest memory in the last quarter of the run, over that in the second quarter.
    highest_mb
        The highest memory of any worker.
    """

    seconds: float
    busiest_seconds: float
    load: float
    growth: tuple[float, ...]
    highest_mb: float


def make_plates(folder: Path, count: int) -> None:
    """Make so many plates, five a batch: a few of the small ones over and over, each JPEG with a comment of its own."""
    photos = [(SMALL / f"{name}.jpg").read_bytes() for name in TWELVE_FRIES]
    for number, photo in enumerate(islice(cycle(photos), count)):
        words = f"plate {number}".encode()
        comment = b"\xff\xfe" + (len(words) + 2).to_bytes(2, "big") + words
        place = folder / f"batch{number // 5:04}" / f"plate{number:05}.jpg"
        place.parent.mkdir(exist_ok=True)
        place.write_bytes(photo[:2] + comment + photo[2:])


def grade_folder(folder: Path, out: Path, *, workers: int) -> FolderRun:
    """Grade it by the command, and watch the command's processes."""
    began = time.monotonic()
    command = [sys.executable, "-m", "grader", "grade", str(folder), "--out", str(out), "--workers", str(workers)]
    memory: dict[int, list[int]] = defaultdict(list)
    busy: dict[int, float] = {}
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as run:
        while run.poll() is None:
            for process in (run.pid, *_children(run.pid)):
                seen = _seen(process)
                if seen is not None:
                    busy[process], held = seen
                    memory[process].append(held)
            time.sleep(SAMPLED_EVERY_SECONDS)
    if run.returncode:
        raise RuntimeError(f"grading {folder} ended with {run.returncode}")
    # Besides its workers the command has a child that keeps count of what they share, and works nothing.
    of_workers = [held for process, held in memory.items() if process != run.pid and busy[process] > 1]
    return FolderRun(
        seconds=time.monotonic() - began,
        busiest_seconds=max(busy.values()),
        load=os.getloadavg()[0],
        growth=tuple(_highest(held, 3) / _highest(held, 1) for held in of_workers),
        highest_mb=max(map(max, of_workers)) / 2**20,
    )


def _highest(held: list[int], quarter: int) -> int:
    return max(held[len(held) * quarter // 4 : len(held) * (quarter + 1) // 4])


def _children(process: int) -> list[int]:
    try:
        return [int(one) for one in Path(f"/proc/{process}/task/{process}/children").read_text().split()]
    except OSError:
        return []


def _seen(process: int) -> tuple[float, int] | None:
    """Processor seconds and bytes in memory of a process; None where it has ended."""
    try:
        told = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
        pages = int(Path(f"/proc/{process}/statm").read_text().split()[1])
    except (OSError, IndexError):
        return None
    return (int(told[11]) + int(told[12])) / TICKS_A_SECOND, pages * os.sysconf("SC_PAGE_SIZE")


def measure(top: Path, count: int) -> dict[int, FolderRun]:
    """The same folder with one worker and with two."""
    (top / "plates").mkdir()
    make_plates(top / "plates", count)
    return {workers: grade_folder(top / "plates", top / f"by{workers}", workers=workers) for workers in (1, 2)}


def told(runs: dict[int, FolderRun], count: int) -> str:
    """It all in words."""
    lines = [
        f"{workers} worker(s): {run.seconds:.0f} s, {run.seconds / count:.2f} s a plate; busiest process "
        f"{run.busiest_seconds:.0f} s; worker memory at most {run.highest_mb:.0f} MB, last quarter over second "
        f"{', '.join(f'{one:.3f}' for one in run.growth)}; load {run.load:.1f}"
        for workers, run in runs.items()
    ]
    one, two = runs[1], runs[2]
    lines.append(
        f"{count} plates, two workers over one: {one.seconds / two.seconds:.2f} by the clock, "
        f"{one.busiest_seconds / two.busiest_seconds:.2f} by the busiest process's processor time"
    )
    return "\n".join(lines)


if __name__ == "__main__":
    plates = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    with tempfile.TemporaryDirectory() as folder:
        print(told(measure(Path(folder), plates), plates))
