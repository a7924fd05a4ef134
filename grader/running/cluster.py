"""The workers of a Dask cluster: what one that died had under way is done by another.

Work that ends several workers, one after another, is given up (the scheduler says after how many); the rest goes on.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Self

from grader.errors import GraderError
from grader.running.crew import Done, Pending, Task, WorkerEnded
from grader.running.processes import one_thread

if TYPE_CHECKING:
    from distributed import Client, Future

REACHED_WITHIN_SECONDS = 20


class ClusterUnusable(GraderError, RuntimeError):
    """The cluster can't be reached, has no workers, or was lost."""


class Cluster:
    """A cluster that was reached, for one run."""

    here = False

    def __init__(self, client: "Client", at_once: int) -> None:
        self._client, self.at_once = client, at_once

    @classmethod
    def reached(cls, address: str) -> Self:
        """The cluster whose scheduler is at an address.

        Raises
        ------
        ClusterUnusable
            It doesn't answer, has no workers, or this machine lacks what it takes.
        """
        try:
            from distributed import Client  # noqa: PLC0415 - an extra that few have
        except ImportError as error:
            hint = 'Install it: python -m pip install "fry-grader[cluster]".'
            raise ClusterUnusable("This machine lacks dask.distributed.", hint=hint) from error
        try:
            client = Client(address, timeout=REACHED_WITHIN_SECONDS, set_as_default=False)
        except (OSError, ValueError) as error:
            hint = "Check the address, and that `dask scheduler` runs there."
            raise ClusterUnusable(f"No scheduler answers at {address}.", hint=hint) from error
        try:
            client.wait_for_workers(1, timeout=REACHED_WITHIN_SECONDS)
        except TimeoutError as error:
            client.close()
            hint = f"Start some: dask worker {address} --nthreads 1."
            raise ClusterUnusable(f"The cluster at {address} has no workers.", hint=hint) from error
        return cls(client, max(4, 2 * sum(client.nthreads().values())))

    def hand_in(self, do: Callable[[Task], Done], task: Task) -> Pending[Done]:
        """Begin it on whichever worker is free."""
        return _OnCluster(self._client.submit(_alone, do, task, pure=False))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *told: object) -> None:
        self._client.close()


def _alone(do: Callable[[Task], Done], task: Task) -> Done:
    """On the worker: one thread for each piece of work, as on a single machine."""
    one_thread()
    return do(task)


@dataclass(frozen=True, slots=True)
class _OnCluster(Pending[Done]):
    future: "Future[Any]"

    def result(self) -> Done:
        from distributed import CancelledError, KilledWorker  # noqa: PLC0415 - an extra that few have

        try:
            return self.future.result()  # type: ignore[no-any-return]
        except KilledWorker as error:
            raise WorkerEnded(
                "The program ended on it, on one machine of the cluster after another.",
                hint="It may need more memory than a worker may use: grade it by itself.",
            ) from error
        except (CancelledError, OSError) as error:
            hint = "Start it again and run the same command: it goes on from what is finished."
            raise ClusterUnusable("The cluster was lost.", hint=hint) from error
        finally:
            self.future.release()
