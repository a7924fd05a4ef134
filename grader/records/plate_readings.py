"""What earlier runs left on disk, read again plate by plate: means, how fries scatter about them, and stated doubts."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from grader.consistency.model import Count
from grader.consistency.quantities import QuantityKey
from grader.errors import DocumentFaulty, Fault, GraderError
from grader.records.history import measured_records
from grader.records.json_values import NOT_AS_WRITTEN, Json
from grader.standard.model import Standard
from grader.standard.place import place_on_scale
from grader.trueness.tables import Noted, read_table

TAKEN_AT = "taken_at"
ABOUT_COLUMNS = ("kitchen", "station", "fryer", "shift", "lot", "supplier")
_HINT = "Give folders into which `grade` wrote its results, all by the standard that judges now."


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateMean:
    """A plate's mean of a quantity, in its unit.

    Attributes
    ----------
    mean, sd, fries
        Over the fries that have it; `sd` is None of fewer than two.
    shared_u, measured_u
        Standard uncertainty that all fries of the photo share; that together with what measuring each of them leaves
        in the mean. How fries differ from each other is in neither.
    """

    mean: float
    sd: float | None
    fries: int
    shared_u: float
    measured_u: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateReadings:
    """One plate of a run.

    Attributes
    ----------
    sha256, photo
        Of the photo; its name.
    run, batch
        The folder of results, and the batch in it.
    taken_at
        When the photo says that it was taken, else when the table says so of its batch, UTC; None where neither does.
    about
        Kitchen, station, fryer, shift, lot, supplier, as far as somebody said so.
    means
        By quantity; one that no fry has is left out.
    outside
        Fries with a place outside the target range; None where nobody counted. An estimate need be no whole number.
    shares
        By the keys of the standard's limits: fries with the property, and fries that could be counted.
    """

    sha256: str
    photo: str
    run: str
    batch: str
    taken_at: datetime | None
    about: Mapping[str, str]
    means: Mapping[QuantityKey, PlateMean]
    outside: float | None
    shares: Mapping[str, Count]

    @property
    def batch_key(self) -> str:
        """The batch, told from those of the same name in other runs."""
        return f"{self.run} / {self.batch}"


def read_plates(folders: Sequence[Path], *, standard: Standard, about: Path | None = None) -> tuple[PlateReadings, ...]:
    """All plates that runs measured, each photo once, however often it was graded.

    Parameters
    ----------
    folders
        Into which `grade` wrote.
    standard
        By which all of them were judged.
    about
        A CSV table with the column batch, and run (a folder's name) where batches of two runs have one name; beside
        them any of kitchen, station, fryer, shift, lot, supplier, and taken_at (ISO 8601) for photos that don't say it.

    Raises
    ------
    GraderError
        With everything that is wrong with the folders; DocumentFaulty with every fault of the table.
    """
    said = {} if about is None else _about(about)
    once: dict[str, PlateReadings] = {}
    wrong: list[str] = []
    runs = _runs(folders, wrong)
    for folder, run in runs.items():
        try:
            for batch, record in measured_records(folder, standard):
                facts = said.get((run, batch)) or said.get(("", batch)) or {}
                once[record["sha256"]] = _plate(run, batch, record, standard, facts)
        except GraderError as error:
            wrong.append(error.message)
        except NOT_AS_WRITTEN as error:
            wrong.append(f"{folder} can't be read as results of a run ({type(error).__name__}: {error}).")
    if wrong:
        raise GraderError("\n".join(wrong), hint=_HINT)
    return tuple(once.values())


def _runs(folders: Sequence[Path], wrong: list[str]) -> dict[Path, str]:
    """Each folder with its name, by which batches are told apart; that two have one name is noted in `wrong`."""
    runs = {folder.resolve(): folder.resolve().name for folder in folders}
    for name in sorted({one for one in runs.values() if list(runs.values()).count(one) > 1}):
        alike = ", ".join(str(folder) for folder, one in runs.items() if one == name)
        wrong.append(f"These folders have one name, by which their plates can't be told apart: {alike}.")
    return runs


def _about(path: Path) -> dict[tuple[str, str], dict[str, str]]:
    noted, said = Noted(), dict[tuple[str, str], dict[str, str]]()
    for row in read_table(path, ("batch",), noted):
        key = (row.text("run"), row.needed("batch"))
        if key in said:
            row.fault("batch", f'"{key[1]}" is there twice')
        said[key] = {column: row.text(column) for column in (*ABOUT_COLUMNS, TAKEN_AT) if row.text(column)}
        try:
            _taken_at(said[key].get(TAKEN_AT))
        except (ValueError, OverflowError):  # the latter for the first and last days that there are
            row.fault(TAKEN_AT, f'is "{row.text(TAKEN_AT)}"; it must be a day and time like 2026-11-02T18:30')
    if not noted.faults and not any(said.values()):
        lacking = f"says none of {', '.join(ABOUT_COLUMNS)}"
        noted.faults.append(Fault(line=None, field=path.name, message=lacking))
    if noted.faults:
        raise DocumentFaulty(str(path), tuple(noted.faults), hint="Correct the table; its first line names columns.")
    return said


def _plate(run: str, batch: str, record: Json, standard: Standard, about: Mapping[str, str]) -> PlateReadings:
    length_key = "straight_mm" if standard.length_is == "straight" else "length_mm"
    fries = [fry for fry in record["fries"] if not _shorter(fry[length_key], standard.defects.piece_from_mm)]
    placed = [fry for fry in fries if fry["scale_place"] is not None and not fry["off_scale"]]
    places = [fry["scale_place"] for fry in placed]
    return PlateReadings(
        sha256=record["sha256"],
        photo=record["photo"],
        run=run,
        batch=batch,
        taken_at=_taken_at((record.get("picture") or {}).get("taken_at") or about.get(TAKEN_AT)),
        about={key: words for key, words in about.items() if key != TAKEN_AT},
        means=dict(_means(record, placed, fries, length_key, standard)),
        outside=sum(not standard.scale.target_from <= place <= standard.scale.target_to for place in places),
        shares=dict(_shares(record)),
    )


def _shorter(length: float | None, than: float) -> bool:
    return length is not None and length < than


def _taken_at(text: str | None) -> datetime | None:
    """A time without a zone is taken to be in this machine's."""
    return None if text is None else datetime.fromisoformat(text).astimezone(UTC)


def _means(
    record: Json, placed: Sequence[Json], fries: Sequence[Json], length_key: str, standard: Standard
) -> Iterator[tuple[QuantityKey, PlateMean]]:
    causes = list(((record.get("colour_quality") or {}).get("shared_lab_u") or {}).values())
    shared_lab = np.array(causes, float).reshape(-1, 3)
    if placed:
        labs = np.array([fry["lab"] for fry in placed], float)
        lab_u = np.array([fry["lab_u"] for fry in placed], float)
        slope = place_on_scale(standard.scale, labs, lab_u).slope.mean(axis=0)
        place_u = np.array([fry["scale_place_u"] for fry in placed], float)
        shared_u = float(np.sqrt(((shared_lab @ slope) ** 2).sum()))
        yield "place", _mean([fry["scale_place"] for fry in placed], place_u, shared_u)
        keys: tuple[QuantityKey, ...] = ("L", "a", "b")
        for at, key in enumerate(keys):
            yield key, _mean(labs[:, at], lab_u[:, at], float(np.sqrt((shared_lab[:, at] ** 2).sum())))
    measured = [fry for fry in fries if fry[length_key] is not None]
    if measured:
        # Results of earlier editions don't say what lengths share: all of their doubt is taken to be shared.
        shared = [fry.get(f"{length_key}_shared_u", fry[f"{length_key}_u"]) for fry in measured]
        yield (
            "length",
            _mean(
                [fry[length_key] for fry in measured],
                [fry[f"{length_key}_u"] for fry in measured],
                float(np.mean(np.array(shared, float))),
            ),
        )


def _mean(values: Iterable[float] | Any, doubts: Iterable[float] | Any, shared_u: float) -> PlateMean:
    readings, u = np.array(values, float), np.array(doubts, float)
    own = np.maximum(u**2 - shared_u**2, 0)
    return PlateMean(
        mean=float(readings.mean()),
        sd=float(readings.std(ddof=1)) if len(readings) > 1 else None,
        fries=len(readings),
        shared_u=shared_u,
        measured_u=float(np.sqrt(shared_u**2 + own.sum() / len(readings) ** 2)),
    )


def _shares(record: Json) -> Iterator[tuple[str, Count]]:
    for limit in (record["verdict"] or {}).get("limits", []):
        if limit["unit"] == "share" and limit["measured"] is not None and limit["counted"]:
            yield limit["key"], Count(k=min(limit["measured"], 1.0) * limit["counted"], n=limit["counted"])
