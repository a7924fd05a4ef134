"""Documents that come in as bytes or text: standards, values, readings, charts, studies."""

import json
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np

from grader.card.layouts import load_layouts
from grader.card_values import Measurement, import_readings, read_values, write_values
from grader.chart.own_values import read_own_values
from grader.chart.sidecars import read_corners, read_patch_means
from grader.errors import GraderError
from grader.places import calibration_folder
from grader.records.kept_files import Signed, kept_text, read_kept
from grader.standard import load_shipped, read_standard
from grader.trueness.documents import read_study, write_study
from tests.card_values.tables import cgats_of, csv_of, lab_of, lab_rows
from tests.fuzz.mutating import JSON, TEXT
from tests.fuzz.target import Read, Target
from tests.trueness.made_up import Off, study

CARD = next(layout for layout in load_layouts() if layout.printable)
MEASUREMENT = Measurement(
    run="K7Q2X",
    white="D65",
    measured_on=date(2026, 11, 20),
    expires_on=date(2027, 11, 20),
    measured_by="AB",
    instrument="45/0, M1",
)


def of_text(read: Callable[[str], object]) -> Callable[[Path], Read]:
    """A reader of text: bytes that are none are somebody else's matter."""
    return lambda _: lambda data: read(data.decode("utf-8", errors="replace"))


def _standards(_: Path) -> Sequence[bytes]:
    return [path.read_bytes() for path in sorted((calibration_folder() / "standards").glob("*.toml"))]


def _readings(_: Path) -> Sequence[bytes]:
    lab = lab_of(CARD)
    fields = ["SAMPLE_ID", "LAB_L", "LAB_A", "LAB_B"]
    return [
        csv_of(CARD, lab).encode(),
        csv_of(CARD, lab).replace(",", ";").replace(".", ",").encode("utf-8-sig"),
        cgats_of(fields, lab_rows(lab), statements=['WEIGHTING_FUNCTION "ILLUMINANT, D65"']).encode(),
    ]


def _read_readings(_: Path) -> Read:
    return lambda data: import_readings([("card.txt", data)], CARD, measurement=MEASUREMENT)


def _values(folder: Path) -> Sequence[bytes]:
    return [write_values(import_readings([("a", _readings(folder)[0])], CARD, measurement=MEASUREMENT)).encode()]


def _chart(_: Path) -> Sequence[bytes]:
    rows = [f"{n},{50 + n % 7}.5,{n - 12},{n}" for n in range(1, 25)]
    means = [f"{n},{n * 10},{255 - n},{n}" for n in range(1, 25)]
    corners = json.dumps({"corners_px": [[10.5, 10], [400, 12], [402, 300], [9, 301]]})
    return ["\n".join(["number,L,a,b", *rows]).encode(), "\n".join(["number,r,g,b", *means]).encode(), corners.encode()]


def _read_chart(_: Path) -> Read:
    reads: tuple[Callable[[bytes], object], ...] = (
        lambda data: read_own_values(data, name="a", white="D50"),
        lambda data: read_patch_means(data, name="a", linear=False),
        lambda data: read_corners(data, name="a"),
    )

    def each(data: bytes) -> None:
        refused: list[GraderError] = []
        for read in reads:
            try:
                read(data)
            except GraderError as error:
                refused.append(error)
        if len(refused) == len(reads):
            raise refused[0]

    return each


def _kept(_: Path) -> Sequence[bytes]:
    signed = Signed(by="AB", at=datetime(2026, 11, 2, tzinfo=UTC), why="first")
    return [kept_text(one, signed, before="").encode() for one in load_shipped().values()]


def _read_kept(data: bytes) -> None:
    """What isn't as it was kept is told by whoever reads the folder."""
    if read_kept(data, key="a", turn=1) is None:
        raise GraderError("It isn't as it was kept.", hint="Put it back.")


def _study(_: Path) -> Sequence[bytes]:
    return [write_study(study(Off(bias=0.3, pieces=0.4, photos=0.2, rest=0.3), np.random.default_rng(1)))]


TARGETS = (
    Target(
        name="standard (TOML)", seeds=_standards, ways=TEXT, open=of_text(lambda text: read_standard(text, name="a"))
    ),
    Target(name="readings (CGATS, CSV)", seeds=_readings, ways=TEXT, open=_read_readings),
    Target(
        name="card values (TOML)",
        seeds=_values,
        ways=TEXT,
        open=of_text(lambda text: read_values(text, name="a", layouts=load_layouts())),
    ),
    Target(name="chart beside a photo", seeds=_chart, ways=(*TEXT, *JSON), open=_read_chart),
    Target(name="kept standard", seeds=_kept, ways=TEXT, open=lambda _: _read_kept),
    Target(
        name="study of trueness (JSON)",
        seeds=_study,
        ways=JSON,
        open=lambda _: lambda data: read_study(data, name="a"),
    ),
)
