"""Where a plate comes from, in a person's own words: which kitchen, shift, fryer, lot; who, when."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from grader.records.database.errors import RecordsRefused
from grader.utf8_text import is_text

TakenFrom = Literal["photo", "file", "keeping"]
WORDS_AT_MOST = 120
"""Characters of a name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotFacts:
    """A lot as its supplier numbers it, and what is known of it; what is empty or None isn't known."""

    supplier: str
    number: str
    variety: str = ""
    storage: str = ""
    received: date | None = None
    count_size: str = ""
    solids_percent: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """Where the plates of one batch come from; an empty field isn't known.

    Attributes
    ----------
    kitchen
        Its name; one that isn't known yet is added, and then `zone` must be given.
    zone
        The kitchen's IANA time zone ("Europe/Lisbon"); empty takes the one that is kept.
    shift
        What the shift is called ("lunch").
    batch
        What the batch is called; a batch is told from others by all of this and its day.
    day
        By the kitchen's calendar; None takes the day on which the photo was taken.
    by
        Initials of who photographed or brought it in.
    """

    kitchen: str
    zone: str = ""
    station: str = ""
    fryer: str = ""
    shift: str = ""
    lot: LotFacts | None = None
    batch: str = "plates"
    day: date | None = None
    by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """When a photo was taken, UTC, and where that is known from."""

    at: datetime
    source: TakenFrom


def zone_called(name: str) -> ZoneInfo:
    """The time zone of an IANA name.

    Raises
    ------
    RecordsRefused
        There is none of that name.
    """
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        hint = 'Give an IANA name, such as "Europe/Lisbon" or "America/New_York".'
        raise RecordsRefused(f'There is no time zone "{name}".', hint=hint) from error


def taken(told: str | None, zone: ZoneInfo, *, file_at: datetime | None, now: datetime) -> Taken:
    """When a photo was taken: as its camera says, by the kitchen's clock unless it names an offset; else as its file.

    An hour that the clock shows twice in autumn is taken to be the first.
    """
    if told is not None:
        at = datetime.fromisoformat(told)
        local = at if at.tzinfo is not None else at.replace(tzinfo=zone)
        return Taken(at=local.astimezone(UTC), source="photo")
    if file_at is not None:
        return Taken(at=file_at.astimezone(UTC), source="file")
    return Taken(at=now.astimezone(UTC), source="keeping")


def check_setting(setting: Setting) -> None:
    """Refuse what can't be kept as it is told.

    Raises
    ------
    RecordsRefused
        With everything that is wrong.
    """
    lot = setting.lot
    named = {
        "kitchen": setting.kitchen,
        "station": setting.station,
        "fryer": setting.fryer,
        "shift": setting.shift,
        "batch": setting.batch,
        "by": setting.by,
        **({} if lot is None else {"supplier": lot.supplier, "lot": lot.number}),
    }
    needed = {"kitchen", "batch", "supplier", "lot"}
    check_told(named, needed=needed, solids=None if lot is None else lot.solids_percent)


def check_told(named: Mapping[str, str], *, needed: Collection[str], solids: float | None) -> None:
    """Refuse names by what they name, those that are `needed` and blank too, and a lot's solids that can't be.

    Raises
    ------
    RecordsRefused
        With everything that is wrong.
    """
    wrong = [f"{what} is blank" for what, words in named.items() if what in needed and not words.strip()]
    wrong += [
        f"{what} has more than {WORDS_AT_MOST} characters"
        for what, words in named.items()
        if len(words) > WORDS_AT_MOST
    ]
    wrong += [f"{what} is not UTF-8 text" for what, words in named.items() if not is_text(words)]
    if solids is not None and not 0 < solids < 100:
        wrong.append(f"solids of {solids:g} % can't be")
    if wrong:
        raise RecordsRefused(f"This can't be kept: {'; '.join(wrong)}.", hint="Nothing was kept. Say it otherwise.")
