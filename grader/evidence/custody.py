"""Two clocks of one photo: what its camera says and when it arrived here; both are kept, and told beside each other.

No guess about editing: browsers and messengers write honest photos anew, and whoever edits one can write any time into
it. The hash says that a photo hasn't changed since it arrived, and nothing of before.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

SAME_VISIT = timedelta(minutes=30)
"""Photographed and brought in at one go (house default, no source)."""
CLOCKS_APART = timedelta(minutes=2)
"""Clocks of a phone and of a machine may differ by so much without being told (house default, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoClocks:
    """When a photo was taken by its camera's clock (UTC; None where it says nothing) and when it arrived.

    `zone_told`: the camera named its zone itself; else it was read by the kitchen's.
    """

    camera: datetime | None
    zone_told: bool
    arrived: datetime

    @property
    def later(self) -> timedelta | None:
        """How long after it was taken it arrived; below zero where the camera's clock is ahead."""
        return None if self.camera is None else self.arrived - self.camera


def two_clocks(camera: str | None, zone: ZoneInfo, arrived: datetime) -> TwoClocks:
    """Of a camera's time (ISO 8601, with or without a zone) and the moment of arrival."""
    if camera is None:
        return TwoClocks(camera=None, zone_told=False, arrived=arrived.astimezone(UTC))
    told = datetime.fromisoformat(camera)
    local = told if told.tzinfo is not None else told.replace(tzinfo=zone)
    return TwoClocks(camera=local.astimezone(UTC), zone_told=told.tzinfo is not None, arrived=arrived.astimezone(UTC))


def clock_words(clocks: TwoClocks) -> str:
    """What both clocks say, compared."""
    arrived = f"Arrived {clocks.arrived:%Y-%m-%d %H:%M:%S} UTC."
    if clocks.camera is None or clocks.later is None:
        return f"{arrived} The file says nothing of when it was taken."
    zone = "" if clocks.zone_told else ", read by the kitchen's time zone"
    taken = f"Taken {clocks.camera:%Y-%m-%d %H:%M:%S} UTC by the camera's clock{zone}."
    return f"{taken} {arrived} {_compared(clocks.later)}"


def _compared(later: timedelta) -> str:
    if later < -CLOCKS_APART:
        return f"By these clocks it arrived {_long(-later)} before it was taken: one of them is wrong."
    if later <= SAME_VISIT:
        return "The clocks agree."
    return f"It arrived {_long(later)} after it was taken; what happened in between, no clock tells."


def _long(time: timedelta) -> str:
    minutes = round(time.total_seconds() / 60)
    if minutes < 120:
        return f"{minutes} minutes"
    hours = round(minutes / 60)
    return f"{hours} hours" if hours < 48 else f"{round(hours / 24)} days"
