"""Who works: in order, never more at once than is wanted, replaced when it dies, gone when the run is."""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from grader.running.crew import Here, WorkerEnded, in_order
from grader.running.processes import Processes
from tests.running.chores import Deadly, dies, doubled, refuses, threads


@pytest.fixture(scope="module")
def pair() -> Iterator[Processes]:
    with Processes(2) as crew:
        yield crew


def test_results_come_in_the_order_of_the_tasks(pair: Processes) -> None:
    results = in_order(range(20), lambda task: pair.hand_in(doubled, task), at_once=pair.at_once)
    assert [(task, pending.result()) for task, pending in results] == [(task, 2 * task) for task in range(20)]


def test_no_more_is_under_way_than_is_wanted() -> None:
    begun, ahead = 0, []

    def tasks() -> Iterator[int]:
        nonlocal begun
        for task in range(50):
            begun += 1
            yield task

    with Here() as crew:
        for taken, _ in enumerate(in_order(tasks(), lambda task: crew.hand_in(doubled, task), at_once=5)):
            ahead.append(begun - taken)
    assert max(ahead) == 5


def test_here_nothing_is_done_before_it_is_asked_for() -> None:
    pending = Here().hand_in(refuses, 3)
    with pytest.raises(ValueError, match="not 3"):
        pending.result()


def test_what_goes_wrong_in_a_worker_is_told_where_its_result_is_asked_for(pair: Processes) -> None:
    with pytest.raises(ValueError, match="not 7"):
        pair.hand_in(refuses, 7).result()
    assert pair.hand_in(doubled, 4).result() == 8


def test_a_worker_has_one_thread(pair: Processes) -> None:
    assert pair.hand_in(threads, None).result() == (1, "1", False)


def test_work_whose_worker_was_killed_is_done_by_another(pair: Processes, tmp_path: Path) -> None:
    assert pair.hand_in(dies, Deadly(tmp_path, lives=1)).result() != os.getpid()


def test_work_that_kills_its_worker_twice_is_given_up_and_the_rest_goes_on(pair: Processes, tmp_path: Path) -> None:
    deadly = pair.hand_in(dies, Deadly(tmp_path, lives=9))
    others = [pair.hand_in(doubled, number) for number in range(6)]
    with pytest.raises(WorkerEnded, match="ended on it") as given_up:
        deadly.result()
    assert "--workers 1" in given_up.value.hint
    assert [other.result() for other in others] == [0, 2, 4, 6, 8, 10]
    assert len(list(tmp_path.iterdir())) == 2


def test_workers_end_when_their_run_is_killed(tmp_path: Path) -> None:
    program = (
        "from pathlib import Path; from grader.running.processes import Processes; from tests.running.chores import *\n"
        "if __name__ == '__main__':\n"
        "    with Processes(1) as crew:\n"
        "        worker = crew.hand_in(dies, Deadly(Path('.'), 0)).result()\n"
        f"        Path({str(tmp_path / 'worker')!r}).write_text(str(worker))\n"
        "        input()\n"
    )
    script = tmp_path / "run.py"
    script.write_text(program)
    root = Path(__file__).parents[2]
    with subprocess.Popen(
        [sys.executable, script], stdin=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(root)}
    ) as run:
        worker = _waited_for(tmp_path / "worker")
        run.kill()
    for _ in range(100):
        if not _alive(worker):
            return
        time.sleep(0.1)
    raise AssertionError("the worker outlived its run by ten seconds")


def _waited_for(file: Path) -> int:
    for _ in range(300):
        if file.exists() and file.read_text():
            return int(file.read_text())
        time.sleep(0.1)
    raise TimeoutError


def _alive(process: int) -> bool:
    try:
        state = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"
