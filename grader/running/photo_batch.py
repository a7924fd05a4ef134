"""Photos that are judged together; apart from what judges them, so that finding them takes no time."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoBatch:
    """Photos that are judged together."""

    name: str
    photos: tuple[Path, ...]
