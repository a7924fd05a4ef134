"""Which values of a chart a call means."""

from pathlib import Path
from typing import cast

from grader.chart.editions import DEFAULT_EDITION, chart_values
from grader.chart.model import ChartValues
from grader.chart.own_values import White, read_own_values
from grader.errors import GraderError


class ChartChoiceError(GraderError, ValueError):
    """The call contradicts itself, or names a white that is none."""


def chosen_values(edition: str | None, reference: Path | None, *, white: str | None) -> ChartValues:
    """The chart's own values from a file, else the published ones of an edition.

    Raises
    ------
    ChartChoiceError
        Both were named, or the white is neither D50 nor D65.
    UnknownEdition, DocumentFaulty, OSError
        The edition or the file is no good.
    """
    if white not in ("D50", "D65", None):
        raise ChartChoiceError(f"{white} is no white that values can be read in.", hint="Say D50 or D65.")
    if reference is None:
        return chart_values(edition or DEFAULT_EDITION)
    if edition is not None:
        raise ChartChoiceError("An edition and a file of values were named.", hint="Name one of them.")
    return read_own_values(reference.read_bytes(), name=reference.name, white=cast("White | None", white))
