import pytest

from grader.records.naming import ResultNames, as_counted, is_photo


@pytest.mark.parametrize("name", ["a.jpg", "A.JPEG", "b.png", "c.tif", "d.tiff", "e.webp", "f.HEIC", "g.heif"])
def test_photos(name: str) -> None:
    assert is_photo(name)


@pytest.mark.parametrize(
    "name",
    ["a.mask.png", "A.MASK.PNG", "a.labels.png", "a.graded.jpg", "a.json", "a.txt", "jpg", ".a.jpg", "a.jpg.part"],
)
def test_not_photos(name: str) -> None:
    assert not is_photo(name)


def test_same_stems_get_numbers_and_the_summary_keeps_its_name() -> None:
    names = ResultNames()
    given = [names.give(name) for name in ("a.jpg", "a.png", "A.heic", "a-2.jpg", "summary.jpg", "b.v2.jpg")]
    assert given == ["a", "a-2", "A-3", "a-2-2", "summary-2", "b.v2"]


def test_names_are_sorted_as_people_count() -> None:
    names = ["basket 10.jpg", "Basket 9.jpg", "basket 1.jpg", "9.jpg", "IMG_0100.JPG", "img_20.jpg"]
    assert sorted(names, key=as_counted) == [
        "9.jpg", "basket 1.jpg", "Basket 9.jpg", "basket 10.jpg", "img_20.jpg", "IMG_0100.JPG",
    ]  # fmt: skip
