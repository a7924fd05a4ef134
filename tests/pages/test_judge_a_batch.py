from collections.abc import Callable

import pytest
from streamlit.testing.v1 import AppTest

from grader.places import calibration_folder
from grader.records.standards import DEFAULT_STANDARD

Page = Callable[[], AppTest]
PHOTO = ("plate1.jpg", b"made up 1", "image/jpeg")
SECOND = ("plate2.jpg", b"made up 2", "image/jpeg")
REFUSED = ("x-refused.jpg", b"made up 3", "image/jpeg")


def shown(at: AppTest) -> str:
    """All words on the page, whatever holds them."""
    kinds = ("html", "markdown", "caption", "subheader", "title", "error", "warning")
    return "\n".join(
        str(element.value if hasattr(element, "value") else element.proto) for kind in kinds for element in at.get(kind)
    )


def test_an_empty_page_says_what_to_do_and_where_photos_stay(page: Page) -> None:
    at = page()
    assert not at.exception
    assert at.title[0].value == "Judge a batch"
    assert "Photos stay on the machine" in shown(at)
    assert "Colour is not doneness" in shown(at)
    assert 'fg-band"' not in shown(at)


def test_one_photo_gives_a_verdict_by_word_and_shape(page: Page, graded_names: list[str]) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO]).run()
    assert not at.exception
    assert graded_names == ["plate1.jpg"]
    told = shown(at)
    assert ">PASS<" in told
    assert "data:image/svg+xml;base64," in told
    assert "The limit on colour" in told
    assert "2\\.4 ± 0\\.2" in told
    assert "Published designations" in told
    assert len(at.get("vega_lite_chart")) == 3
    assert [tab.label for tab in at.tabs] == ["Plate 1"]


def test_the_verdict_stands_above_what_was_chosen(page: Page) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO]).run()
    order = [type(element).__name__ + str(getattr(element, "proto", "")) for element in at.main]
    band = next(place for place, words in enumerate(order) if "PASS" in words)
    chosen = next(place for place, words in enumerate(order) if words.startswith("FileUploader"))
    assert band < chosen


def test_a_photo_is_graded_once_however_often_the_page_runs(page: Page, graded_names: list[str]) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO]).run()
    at.file_uploader(key="photos").set_value([PHOTO, SECOND]).run()
    at.run()
    assert graded_names == ["plate1.jpg", "plate2.jpg"]
    at.selectbox(key="standard").set_value("strips-6.5mm-peeled").run()
    assert graded_names == ["plate1.jpg", "plate2.jpg"] * 2


def test_a_photo_given_twice_counts_once(page: Page, graded_names: list[str]) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO, ("again.jpg", PHOTO[1], "image/jpeg")]).run()
    assert graded_names == ["plate1.jpg"]
    assert "given twice" in shown(at)


def test_a_refused_photo_says_why_and_how_to_shoot_again_and_the_rest_is_judged(page: Page) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO, REFUSED]).run()
    told = shown(at)
    assert ">PASS<" in told
    assert "One photo was refused" in told
    assert "No card is in the photo" in told
    assert "Lay the card beside the plate" in told
    assert "rests on the other photos" in told


def test_where_every_photo_is_refused_there_is_no_verdict(page: Page) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([REFUSED]).run()
    assert ">NOT JUDGED<" in shown(at)
    assert not at.get("vega_lite_chart")


def test_a_fault_in_one_photo_is_told_in_words(page: Page) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO, ("burst.jpg", b"x", "image/jpeg")]).run()
    assert not at.exception
    assert "A fault of this program stopped the grading" in shown(at)
    assert ">PASS<" in shown(at)


def test_a_fault_of_the_page_shows_no_traceback(page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    def burst(*_: object) -> None:
        raise KeyError("inside")

    monkeypatch.setattr("grader.pages.components.results.show_details", burst)
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO]).run()
    assert not at.exception
    assert "A fault of this program stopped this page" in at.error[0].value
    assert "KeyError" not in shown(at)


def test_sample_batches_are_there_to_try(page: Page, graded_names: list[str]) -> None:
    at = page()
    at.pills(key="sample").set_value("b1").run()
    assert not at.exception
    assert graded_names == ["b1-plate1.jpg", "b1-plate2.jpg", "b1-plate3.jpg"]
    assert "invented" in shown(at)
    assert ">UNDECIDED<" in shown(at)


def test_a_standard_of_ones_own_is_read_and_its_faults_are_told(page: Page, graded_names: list[str]) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO]).run()
    at.selectbox(key="standard").set_value("own").run()
    assert ">PASS<" not in shown(at)
    good = (calibration_folder() / "standards" / f"{DEFAULT_STANDARD}.toml").read_bytes()
    at.file_uploader(key="standard_file").set_value(("mine.toml", good + b"\n[more]\nx = 1\n", "text/plain")).run()
    assert "more" in at.error[0].value
    assert "line" in at.error[0].value
    at.file_uploader(key="standard_file").set_value(("mine.toml", good, "text/plain")).run()
    assert not at.error
    assert ">PASS<" in shown(at)
    assert len(graded_names) == 1


def test_names_from_outside_are_shown_as_they_are(page: Page) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([("<b>*x*</b>-refused.jpg", b"x", "image/jpeg")]).run()
    assert "\\<b\\>\\*x\\*" in shown(at)


def test_the_stage_that_plates_show_is_chosen_and_its_caution_told(page: Page, graded_names: list[str]) -> None:
    at = page()
    at.file_uploader(key="photos").set_value([PHOTO]).run()
    at.segmented_control(key="stage").set_value("blanched").run()
    assert not at.exception
    assert graded_names == ["plate1.jpg"] * 2  # matt fries are measured otherwise
    assert "aren't ready to eat" in shown(at)
