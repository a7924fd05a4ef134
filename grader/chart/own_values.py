"""Values of a chart that its owner had measured, in place of published ones."""

from grader.card_values.readings import White, read_samples
from grader.card_values.readings_table import read_table
from grader.chart.model import PATCHES, ChartValues

__all__ = ["White", "read_own_values"]


def read_own_values(data: bytes, *, name: str, white: White | None) -> ChartValues:
    """The values of a chart from the bytes of a CSV or CGATS file: CIELAB, XYZ or spectra of the patches 1 to 24.

    Parameters
    ----------
    name
        What the file is called in messages.
    white
        What CIELAB and XYZ are relative to, where the file doesn't say.

    Raises
    ------
    DocumentFaulty
        With every fault of the file.
    """
    wanted = [str(number) for number in range(1, PATCHES + 1)]
    samples = read_samples(read_table(data, name=name), wanted, white=white)
    return ChartValues(edition="own", name=f"24-patch chart, own values ({name})", patch_lab=samples.lab)
