"""Workers of this machine: a process for each, one thread in it; one that ends is replaced and its work done again.

Nothing heavy is imported here: a worker says how many threads numpy may use before numpy is there.
"""

import multiprocessing
import os
import signal
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from multiprocessing.connection import Connection
from queue import SimpleQueue
from typing import Any, Self

from grader.running.crew import Done, Task, WorkerEnded

TRIES = 2
_ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "BLIS_NUM_THREADS")


def cores() -> int:
    """How many cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class Processes:
    """So many workers, begun when they are first needed.

    Each has its own pipe: where this process is killed, its workers read the end of it and end as well.
    """

    def __init__(self, workers: int) -> None:
        self._idle: SimpleQueue[_Worker] = SimpleQueue()
        for _ in range(workers):
            self._idle.put(_Worker())
        self._workers = workers
        self._waiting = ThreadPoolExecutor(workers, thread_name_prefix="worker")

    here = False

    @property
    def at_once(self) -> int:
        """One under way and one next for each worker."""
        return 2 * self._workers

    def hand_in(self, do: Callable[[Task], Done], task: Task) -> Future[Done]:
        """Begin it as soon as a worker is idle."""
        return self._waiting.submit(self._work, do, task)

    def _work(self, do: Callable[[Task], Done], task: Task) -> Done:
        worker = self._idle.get()
        try:
            for _ in range(TRIES):
                with suppress(EOFError, ConnectionError):
                    return worker.work(do, task)  # type: ignore[no-any-return]
                worker.end()
        finally:
            self._idle.put(worker)
        raise WorkerEnded(
            "The program ended on it, and once more when it was tried again.",
            hint="It may need more memory than there is: grade it again with --workers 1.",
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *told: object) -> None:
        self._waiting.shutdown(cancel_futures=True)
        for _ in range(self._workers):
            self._idle.get().end()


class _Worker:
    """One process and the pipe to it; begun anew by whatever is handed to it after it ended."""

    def __init__(self) -> None:
        self._process: multiprocessing.process.BaseProcess | None = None
        self._pipe: Connection | None = None

    def work(self, do: Callable[[Any], Any], task: object) -> Any:
        """What it makes of a task; EOFError or ConnectionError where it ended on it."""
        if self._pipe is None:
            self._pipe = self._begin()
        self._pipe.send((do, task))
        found, fault = self._pipe.recv()
        if fault is not None:
            raise fault
        return found

    def _begin(self) -> Connection:
        spawn = multiprocessing.get_context("spawn")  # a copy of a process that runs threads of OpenCV may hang
        ours, theirs = spawn.Pipe()
        self._process = spawn.Process(target=serve, args=(theirs,), daemon=True)
        self._process.start()
        theirs.close()
        return ours

    def end(self) -> None:
        """End the process, if it hasn't ended yet."""
        if self._pipe is not None:
            self._pipe.close()
            self._pipe = None
        if self._process is not None:
            self._process.join(timeout=5)
            self._process.kill()
            self._process.join()
            self._process.close()
            self._process = None


def serve(pipe: Connection) -> None:
    """What a worker does: take work, send back what came of it, until nobody is there any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C is for the run, which ends its workers
    one_thread()
    with suppress(EOFError, ConnectionError):
        while True:
            do, task = pipe.recv()
            pipe.send(_answer(do, task))


def _answer(do: Callable[[Any], Any], task: object) -> tuple[Any, Exception | None]:
    try:
        return do(task), None
    except Exception as fault:  # noqa: BLE001 - it is raised again where the work was handed in
        return None, fault


def one_thread() -> None:
    """Let this process use one thread: a process a core, each with as many threads, would be in each other's way."""
    for name in _ONE_THREAD:
        os.environ[name] = "1"
    import cv2  # noqa: PLC0415 - brings numpy with it

    cv2.setNumThreads(1)
