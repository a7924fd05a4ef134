"""The options that say where plates come from; `grade` and `records` share them."""

from datetime import date
from typing import TYPE_CHECKING, Annotated, Literal

import typer

if TYPE_CHECKING:
    from grader.records.database.setting import LotFacts, Setting
    from grader.running.photo_batch import PhotoBatch

ID_AT_MOST = 2**31 - 1
"""The records number things no higher."""

KitchenOption = Annotated[str, typer.Option(metavar="NAME", help="The kitchen.")]
ZoneOption = Annotated[
    str, typer.Option(metavar="ZONE", help='Its IANA time zone ("Europe/Lisbon"), the first time that it is named.')
]
StationOption = Annotated[str, typer.Option(metavar="NAME", help="Where in the kitchen.")]
FryerOption = Annotated[str, typer.Option(metavar="NAME", help="Which fryer.")]
ShiftOption = Annotated[str, typer.Option(metavar="NAME", help="Which shift: lunch, dinner.")]
SupplierOption = Annotated[str, typer.Option(metavar="NAME", help="Whose lot it is.")]
LotOption = Annotated[str, typer.Option(metavar="NUMBER", help="The lot, as its supplier numbers it.")]
VarietyOption = Annotated[str, typer.Option(metavar="NAME", help="The lot's variety.")]
StorageOption = Annotated[str, typer.Option(metavar="WORDS", help="How and how long the lot was stored.")]
ReceivedOption = Annotated[str, typer.Option(metavar="DAY", help="When the lot came, as 2026-10-05.")]
CountSizeOption = Annotated[str, typer.Option(metavar="WORDS", help="The lot's count size.")]
SolidsOption = Annotated[float | None, typer.Option(metavar="PERCENT", help="The lot's solids, by mass.")]
ByOption = Annotated[str, typer.Option(metavar="INITIALS", help="Who photographed, or who does this.")]
RecordsOption = Annotated[
    str | None,
    typer.Option(
        "--records",
        metavar="URL",
        help="The records: sqlite:///FILE or postgresql://... Else FRY_GRADER_RECORDS, else those in your own data.",
    ),
]
LanguageOption = Annotated[Literal["en", "es"], typer.Option(help="Language of what is printed: en or es.")]
PhotosOption = Annotated[
    str | None,
    typer.Option(
        "--photo-store",
        metavar="PLACE",
        help="Where photos are: a folder, or an address that fsspec knows. Else FRY_GRADER_PHOTOS, else beside them.",
    ),
]


def lot_told(
    supplier: str,
    lot: str,
    *,
    variety: str = "",
    storage: str = "",
    received: str = "",
    count_size: str = "",
    solids: float | None = None,
) -> "LotFacts | None":
    """The lot that the options name; None where they name none.

    Raises
    ------
    GraderError
        Something is said of a lot that isn't named wholly, or the day can't be read.
    """
    from grader.errors import GraderError
    from grader.records.database.setting import LotFacts

    facts = (variety, storage, received, count_size, solids)
    if not supplier and not lot and not any(facts):
        return None
    if not supplier or not lot:
        raise GraderError("A lot is known by its supplier and its number.", hint="Give both --supplier and --lot.")
    try:
        day = date.fromisoformat(received) if received else None
    except ValueError as error:
        raise GraderError(f'"{received}" is no day.', hint="Write it as 2026-10-05.") from error
    return LotFacts(
        supplier=supplier,
        number=lot,
        variety=variety,
        storage=storage,
        received=day,
        count_size=count_size,
        solids_percent=solids,
    )


def setting_told(
    kitchen: str,
    supplier: str,
    lot: str,
    *,
    zone: str = "",
    station: str = "",
    fryer: str = "",
    shift: str = "",
    by: str = "",
    records: str | None = None,
    photo_store: str | None = None,
) -> "Setting | None":
    """Where plates come from, as the options say; None where they name no kitchen.

    Raises
    ------
    GraderError
        Something else is said of them, or where they are to be kept, but no kitchen.
    """
    from grader.errors import GraderError
    from grader.records.database.setting import Setting

    facts = lot_told(supplier, lot)
    if kitchen:
        return Setting(kitchen=kitchen, lot=facts, zone=zone, station=station, fryer=fryer, shift=shift, by=by)
    told = {"zone": zone, "station": station, "fryer": fryer, "shift": shift, "by": by}
    told |= {"lot": lot, "records": records or "", "photo-store": photo_store or ""}
    said = [f"--{name}" for name, words in told.items() if words]
    if said:
        hint = "Give --kitchen too, or leave these out: without it nothing is kept in the records."
        raise GraderError(f"{', '.join(said)} is said of plates of no kitchen.", hint=hint)
    return None


def of_batch(setting: "Setting", batch: "PhotoBatch") -> "Setting":
    """The setting of one batch of a run: photos named one by one are called after the folder that they lie in."""
    from dataclasses import replace

    loose = batch.name == "photos" and batch.photos
    return replace(setting, batch=batch.photos[0].resolve().parent.name if loose else batch.name)
