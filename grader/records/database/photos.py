"""Photos by their SHA-256, each kept once: in a folder, or in any store that fsspec reaches.

Bytes are acknowledged when `put` returns: in a folder they are then flushed to the disk, and so is their name.
"""

import hashlib
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Protocol

from grader.records.database.errors import RecordsUnusable
from grader.records.whole_files import write_whole


class PhotoStore(Protocol):
    """Where photos' bytes lie."""

    @property
    def place(self) -> str:
        """Where, in words."""
        ...

    def put(self, sha256: str, data: bytes) -> None:
        """Keep a photo; one that is there whole is left as it is."""
        ...

    def get(self, sha256: str) -> bytes:
        """A photo's bytes, or FileNotFoundError."""
        ...

    def size(self, sha256: str) -> int | None:
        """How many bytes of it are there, None where it isn't."""
        ...

    def drop(self, sha256: str) -> None:
        """Delete it; nothing happens where it isn't there."""
        ...

    def names(self) -> Iterator[str]:
        """The SHA-256 of every photo that is there."""
        ...


def is_whole(sha256: str, data: bytes) -> bool:
    """These bytes are that photo's."""
    return hashlib.sha256(data).hexdigest() == sha256


def whole_photo(store: PhotoStore, sha256: str) -> bytes | None:
    """A photo's bytes; None where it is missing or damaged."""
    try:
        data = store.get(sha256)
    except FileNotFoundError:
        return None
    return data if is_whole(sha256, data) else None


def hash_of_file(path: Path) -> str:
    """The SHA-256 of a file."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


class PhotoFolder:
    """Photos in a folder of this machine, in one of 256 folders each."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @property
    def place(self) -> str:
        """The folder."""
        return str(self.folder)

    def put(self, sha256: str, data: bytes) -> None:
        """Write beside, flush, move into place, flush the names: whatever happens, a name stands for whole bytes.

        Names are flushed for a photo that is there too: who wrote it may have died just before.
        """
        path = self._path(sha256)
        if self.size(sha256) != len(data):
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, data)
        for folder in (path.parent, self.folder):
            _flush_names(folder)

    def get(self, sha256: str) -> bytes:
        """The bytes."""
        return self._path(sha256).read_bytes()

    def size(self, sha256: str) -> int | None:
        """Of the file."""
        try:
            return self._path(sha256).stat().st_size
        except FileNotFoundError:
            return None

    def drop(self, sha256: str) -> None:
        """Delete the file."""
        self._path(sha256).unlink(missing_ok=True)

    def names(self) -> Iterator[str]:
        """All files that are called as photos are."""
        for path in sorted(self.folder.glob("??/*")):
            if len(path.name) == hashlib.sha256().digest_size * 2:
                yield path.name

    def unfinished(self) -> list[Path]:
        """What writers that were cut short left behind; a writer at work has one too."""
        return sorted(self.folder.glob("??/.*.part"))

    def _path(self, sha256: str) -> Path:
        return self.folder / sha256[:2] / sha256


def _flush_names(folder: Path) -> None:
    """A file's new name is on disk once its folder is; Windows does that by itself and opens no folder."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


class PhotosElsewhere:
    """Photos in a store that fsspec reaches ("s3://bucket/photos"); it must show an object whole or not at all."""

    def __init__(self, url: str) -> None:
        import fsspec  # noqa: PLC0415 - only who keeps photos elsewhere waits for it

        try:
            files, root = fsspec.core.url_to_fs(url)
        except (ImportError, ValueError) as error:
            hint = "Install what fsspec needs for it (s3fs for s3://), or name a folder."
            raise RecordsUnusable(f"The photo store {url} can't be reached: {error}.", hint=hint) from error
        self._files: Any = files
        self._root = str(root).rstrip("/")
        self.place = url

    def put(self, sha256: str, data: bytes) -> None:
        """Sent, then asked for its size: a store that swallowed a part is told."""
        if self.size(sha256) == len(data):
            return
        path = self._path(sha256)
        self._files.makedirs(path.rpartition("/")[0], exist_ok=True)
        self._files.pipe_file(path, data)
        if self.size(sha256) != len(data):
            raise OSError(None, "the photo didn't arrive whole", path)

    def get(self, sha256: str) -> bytes:
        """The bytes."""
        return bytes(self._files.cat_file(self._path(sha256)))

    def size(self, sha256: str) -> int | None:
        """As the store tells it, asked anew."""
        self._files.invalidate_cache()
        try:
            return int(self._files.size(self._path(sha256)))
        except FileNotFoundError:
            return None

    def drop(self, sha256: str) -> None:
        """Delete the object."""
        if self.size(sha256) is not None:
            self._files.rm_file(self._path(sha256))

    def names(self) -> Iterator[str]:
        """All objects below the store's place."""
        for path in sorted(self._files.find(self._root)):
            yield str(path).rpartition("/")[2]

    def _path(self, sha256: str) -> str:
        return f"{self._root}/{sha256[:2]}/{sha256}"


def open_photos(place: str) -> PhotoStore:
    """The store at a place: a folder, or an address with "://".

    Raises
    ------
    RecordsUnusable
        Such a store can't be reached.
    """
    return PhotosElsewhere(place) if "://" in place else PhotoFolder(Path(place))
