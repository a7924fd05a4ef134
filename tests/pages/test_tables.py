from grader.pages.components.grading import SeenBatch, SeenPhoto
from grader.pages.components.tables import batch_entry, fry_frame
from tests.records import made_up


def batch() -> SeenBatch:
    photos = (
        SeenPhoto(key="1", graded=made_up.graded(), picture=b"", labels=None),
        SeenPhoto(key="2", graded=made_up.refused(), picture=None, labels=None),
    )
    return SeenBatch(photos=photos, files=(b"", b""), standard=made_up.standard(), verdict=made_up.verdict())


def test_a_row_a_fry_with_what_was_noted() -> None:
    frame = fry_frame(batch())
    assert list(frame["fry"]) == [1, 2, 3, 4, 5]
    assert frame.loc[1, "noted"] == "dark end, spot"
    assert str(frame.loc[3, "noted"]).endswith("?")
    assert frame.loc[0, "step"] == "golden"
    assert "hidden" in str(frame.loc[3, "doubt"])
    assert frame["length"].isna().sum() == 1


def test_what_is_taken_along_names_every_photo() -> None:
    entry = batch_entry(batch())
    assert [one.graded.refused for one in entry.photos] == [False, True]
