from grader.pages.components.grading import SeenBatch, SeenPhoto
from grader.pages.components.tables import batch_entry, fry_frame, mass_words
from tests.records import made_up


def batch() -> SeenBatch:
    photos = (
        SeenPhoto(key="1", plate_key="1", graded=made_up.graded(), picture=b"", labels=None),
        SeenPhoto(key="2", plate_key="2", graded=made_up.refused(), picture=None, labels=None),
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
    assert (frame.loc[0, "bow"], frame.loc[0, "mass"]) == (2.0, 8.0)
    assert frame["mass"].isna().sum() == 1


def test_masses_are_called_estimates_with_their_doubt_and_thickness_not_seen() -> None:
    """Of each made-up mass a sixth is in doubt for all alike and an eighth for itself."""
    words = mass_words(made_up.fries())
    assert "Thickness is not seen" in words
    assert "± 21 %" in words
    assert "± 17 % would be the same for all" in words
    hidden = [fry for fry in made_up.fries() if fry.mass_g is None]
    assert mass_words(hidden) == "Thickness is not seen in a photo from above."


def test_what_is_taken_along_names_every_photo() -> None:
    entry = batch_entry(batch())
    assert [one.graded.refused for one in entry.photos] == [False, True]
