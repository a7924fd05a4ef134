"""What a kept study of the method says, for a dossier."""

from pathlib import Path

from grader.records.gauge_results import Asked, results, study_lines
from grader.records.gauge_studies import read_study


def method_lines(folder: Path) -> tuple[str, ...]:
    """Of colour and length, in words; see `read_study` for what is raised."""
    study = read_study(folder)
    told = results(study, Asked(quantities=("place", "length"), tolerance=None))
    return tuple(line for line in study_lines(study, told) if line)
