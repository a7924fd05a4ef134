"""One photo graded in a process that does nothing else, so that its memory is that of grading."""

import json
import statistics
import subprocess
import sys
import time
from pathlib import Path

from tests.speed.against import Taken, graded
from tests.speed.steps import forget_peak, peak_bytes


def on_its_own(data: bytes, folder: Path, *, times: int) -> Taken:
    """Medians of so many runs after a first that doesn't count; the highest memory of all of them."""
    photo = folder / "timed.jpg"
    photo.write_bytes(data)
    command = [sys.executable, "-m", "tests.speed.alone", str(photo), str(times)]
    told = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    return Taken(**told)


def _main(photo: Path, times: int) -> None:
    data = photo.read_bytes()
    graded(data)
    forget_peak()
    clock, cpu = [], []
    for _ in range(times):
        started = time.perf_counter(), time.process_time()
        graded(data)
        clock.append(time.perf_counter() - started[0])
        cpu.append(time.process_time() - started[1])
    taken = {"clock_s": statistics.median(clock), "cpu_s": statistics.median(cpu), "peak_bytes": peak_bytes()}
    print(json.dumps(taken))


if __name__ == "__main__":
    _main(Path(sys.argv[1]), int(sys.argv[2]))
