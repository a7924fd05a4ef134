"""Who does the work of a run, and in what order results come: as they were handed in, however many work at once.

A crew is this process itself (`Here`), processes of this machine (`processes`) or a cluster (`cluster`); whoever hands
in work doesn't know which. Only so much is under way as the crew can use, so that a run of any length needs no more
memory than a short one.
"""

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol, Self, TypeVar

from grader.errors import GraderError

Task = TypeVar("Task")
Done = TypeVar("Done")
Found_co = TypeVar("Found_co", covariant=True)


class WorkerEnded(GraderError, RuntimeError):
    """The process that worked on something ended on it, and so did the next one."""


class Pending(Protocol[Found_co]):
    """Work under way."""

    def result(self) -> Found_co:
        """What came of it, waited for.

        Raises
        ------
        WorkerEnded
            Whoever worked on it ended, twice.
        """


class Crew(Protocol):
    """Whoever does the work; left as a context, it ends what it began."""

    @property
    def here(self) -> bool:
        """It is this process, which can tell how far a piece of work is."""

    @property
    def at_once(self) -> int:
        """How much is worth having under way at once."""

    def hand_in(self, do: Callable[[Task], Done], task: Task) -> Pending[Done]:
        """Begin `do(task)`; both must be picklable where the crew isn't `Here`."""

    def __enter__(self) -> Self: ...

    def __exit__(self, *told: object) -> None: ...


@dataclass(frozen=True, slots=True)
class Ready(Pending[Found_co]):
    """What is known already, where others are waited for."""

    found: Found_co

    def result(self) -> Found_co:
        """It."""
        return self.found


@dataclass(frozen=True, slots=True)
class _Later(Pending[Done]):
    do: Callable[[], Done]

    def result(self) -> Done:
        return self.do()


class Here:
    """The process that asks: each piece of work is done when its result is asked for."""

    here = True
    at_once = 1

    def hand_in(self, do: Callable[[Task], Done], task: Task) -> Pending[Done]:
        """Put it off until it is asked for."""
        return _Later(lambda: do(task))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *told: object) -> None:
        pass


def in_order(
    tasks: Iterable[Task], begin: Callable[[Task], Pending[Done]], *, at_once: int
) -> Iterator[tuple[Task, Pending[Done]]]:
    """Begin task after task, at most `at_once` ahead of what was taken, and give each back in the order of `tasks`.

    The next is begun before the last one's result is waited for, so that whoever takes results never keeps the crew
    waiting for longer than a piece of work takes.
    """
    waiting: deque[tuple[Task, Pending[Done]]] = deque()
    for task in tasks:
        waiting.append((task, begin(task)))
        if len(waiting) >= at_once:
            yield waiting.popleft()
    while waiting:
        yield waiting.popleft()
