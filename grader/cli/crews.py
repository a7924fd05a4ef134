"""The options that say who works on a run of photos; `grade` and `records import` share them."""

from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from grader.running.crew import Crew

WorkersOption = Annotated[
    int | None,
    typer.Option(
        min=1, metavar="N", help="Photos graded at once, a process for each. Else as many as there are cores."
    ),
]
ClusterOption = Annotated[
    str | None,
    typer.Option(
        metavar="ADDRESS",
        help="Let the workers of a Dask cluster do it: tcp://HOST:PORT of its scheduler, on a network that you trust.",
    ),
]
FEW_PHOTOS = 3
"""So many are graded sooner in this process than workers have begun."""


def crew_asked(workers: int | None, cluster: str | None, *, photos: int) -> "Crew":
    """Who the options name for so many photos.

    Raises
    ------
    GraderError
        Both are given, or the cluster can't be reached.
    """
    from grader.errors import GraderError
    from grader.running.crew import Here
    from grader.running.processes import Processes, cores

    if cluster is not None:
        if workers is not None:
            hint = "Leave --workers out: a cluster has as many as were started for it."
            raise GraderError("--workers and --cluster can't both be given.", hint=hint)
        from grader.running.cluster import Cluster

        return Cluster.reached(cluster)
    if workers is None and photos <= FEW_PHOTOS:
        return Here()
    return Processes(min(workers or cores(), photos))
