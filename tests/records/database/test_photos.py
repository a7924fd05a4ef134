import hashlib
from pathlib import Path

import pytest

from grader.records.database import RecordsUnusable
from grader.records.database.photos import PhotoFolder, PhotosElsewhere, PhotoStore, is_whole, open_photos

DATA = b"a photo" * 1000
SHA256 = hashlib.sha256(DATA).hexdigest()


@pytest.fixture(params=["a folder", "memory://photos-of-a-test", "file"])
def store(request: pytest.FixtureRequest, tmp_path: Path) -> PhotoStore:
    place = {"a folder": str(tmp_path / "photos"), "file": f"file://{tmp_path}/elsewhere"}
    opened = open_photos(place.get(request.param, request.param))
    opened.drop(SHA256)
    return opened


def test_a_photo_comes_back_as_it_was_and_lies_there_once(store: PhotoStore) -> None:
    assert store.size(SHA256) is None
    store.put(SHA256, DATA)
    store.put(SHA256, DATA)
    assert store.get(SHA256) == DATA
    assert store.size(SHA256) == len(DATA)
    assert list(store.names()) == [SHA256]
    store.drop(SHA256)
    store.drop(SHA256)
    assert list(store.names()) == []
    with pytest.raises(FileNotFoundError):
        store.get(SHA256)


def test_an_address_goes_to_a_store_elsewhere_and_all_else_is_a_folder(tmp_path: Path) -> None:
    assert isinstance(open_photos("memory://here"), PhotosElsewhere)
    assert isinstance(open_photos(str(tmp_path)), PhotoFolder)
    with pytest.raises(RecordsUnusable, match="can't be reached"):
        open_photos("nosuchstore://bucket/photos")


def test_half_a_photo_under_its_name_is_written_anew(tmp_path: Path) -> None:
    store = PhotoFolder(tmp_path)
    store.put(SHA256, DATA)
    path = tmp_path / SHA256[:2] / SHA256
    path.write_bytes(DATA[:100])
    store.put(SHA256, DATA)
    assert is_whole(SHA256, store.get(SHA256))


def test_a_disk_that_refuses_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", refuse)
    store = PhotoFolder(tmp_path)
    with pytest.raises(OSError, match="No space left"):
        store.put(SHA256, DATA)
    assert store.size(SHA256) is None
    assert not store.unfinished()
