import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from grader.decision.model import Outcome
from grader.drawing.fry_lines import DOUBT, POINTED_OUT, dark_end_area
from grader.drawing.plate_picture import CARD, draw_plate, picture_jpeg
from grader.drawing.signs import SIGNS
from grader.drawing.view import WIDTH_PX
from grader.fries.model import Measured
from tests.records import made_up


def has(picture: np.ndarray, colour: tuple[int, int, int]) -> bool:
    return bool((np.abs(picture.astype(int) - colour).max(axis=-1) <= 2).any())


@pytest.mark.parametrize("outcome", list(Outcome))
def test_the_band_says_what_came_out(outcome: Outcome) -> None:
    picture = draw_plate(made_up.graded(outcome=outcome), made_up.standard())
    assert picture is not None
    assert picture.shape[1] == WIDTH_PX
    assert tuple(picture[3, -3]) == SIGNS[outcome].ground


def test_what_is_found_is_drawn_and_only_that() -> None:
    picture = draw_plate(made_up.graded(), made_up.standard())
    assert picture is not None
    assert all(has(picture, colour) for colour in (DOUBT, POINTED_OUT))
    plate = made_up.plate()
    sound = replace(made_up.graded(), plate=replace(plate, fries=plate.fries[:1]), sheet=None)
    picture = draw_plate(sound, made_up.standard())
    assert picture is not None
    assert not any(has(picture, colour) for colour in (CARD, DOUBT, POINTED_OUT))


def test_the_card_is_outlined_where_it_is_in_the_picture_but_the_fries_come_first() -> None:
    graded = made_up.graded()
    assert graded.sheet is not None
    among = replace(graded.sheet, corners_px=np.array([(50.0, 230.0), (90.0, 230.0), (90.0, 260.0), (50.0, 260.0)]))
    beside, inside = (draw_plate(replace(graded, sheet=sheet), made_up.standard()) for sheet in (graded.sheet, among))
    assert beside is not None
    assert inside is not None
    assert has(inside, CARD)
    assert not has(beside, CARD)


def test_the_outline_lies_on_the_fry() -> None:
    """White where the fry's edge is, the photo's own colour beside it: shift and scale are right, to 2 px of it."""
    plate = made_up.plate()
    photo, pixels = made_up.photo(), np.full((made_up.HEIGHT_PX, made_up.WIDTH_PX, 3), (90, 90, 95), np.uint8)
    pixels[plate.labels == 1] = (214, 160, 80)
    graded = replace(
        made_up.graded(),
        photo=replace(photo, pixels=pixels),
        plate=replace(plate, fries=plate.fries[:1]),
        sheet=None,
        verdict=None,
    )
    picture = draw_plate(graded, made_up.standard())
    assert picture is not None
    gold = np.abs(picture.astype(int) - (214, 160, 80)).max(axis=-1) <= 3
    rows, columns = np.nonzero(gold)
    white = picture.min(axis=-1) >= 250
    middle = (columns.min() + columns.max()) // 2 + (columns.max() - columns.min()) // 3
    edge_rows = np.flatnonzero(white[:, middle])
    edge_rows = edge_rows[(edge_rows > rows.min() - 12) & (edge_rows < rows.max() + 12)]
    assert edge_rows.min() == pytest.approx(rows.min(), abs=8)
    assert edge_rows.max() == pytest.approx(rows.max(), abs=8)


def test_a_refused_photo_says_why_and_an_unread_one_has_no_picture() -> None:
    picture = draw_plate(made_up.refused(), made_up.standard())
    assert picture is not None
    assert tuple(picture[3, -3]) == SIGNS[None].ground
    assert draw_plate(made_up.refused(decoded=False), made_up.standard()) is None


def test_an_empty_plate_and_deep_pixels_are_drawn() -> None:
    graded = made_up.graded()
    assert graded.photo is not None
    deep = replace(graded.photo, pixels=graded.photo.pixels.astype(np.uint16) * 257)
    shallow = draw_plate(replace(graded, plate=replace(made_up.plate(), fries=())), made_up.standard())
    again = draw_plate(replace(graded, photo=deep, plate=replace(made_up.plate(), fries=())), made_up.standard())
    assert shallow is not None
    assert again is not None
    assert np.abs(shallow.astype(int) - again).max() <= 1


def test_the_jpeg_is_one() -> None:
    picture = draw_plate(made_up.graded(), made_up.standard())
    assert picture is not None
    with Image.open(io.BytesIO(picture_jpeg(picture))) as image:
        assert image.format == "JPEG"
        assert image.size == (WIDTH_PX, picture.shape[0])
        assert np.abs(np.asarray(image.convert("RGB"))[3, -3].astype(int) - picture[3, -3]).max() < 12


def test_the_dark_end_lies_at_the_darker_tip() -> None:
    _, dark, *_ = made_up.fries()
    area = dark_end_area(dark, dark.centreline_px)
    assert area is not None
    right = dark.centreline_px[-1, 0]
    assert area[:, 0].max() == pytest.approx(right)
    assert area[:, 0].min() == pytest.approx(right - 8.5 * 4)
    assert np.ptp(area[:, 1]) == pytest.approx(9.0 * 4)
    assert dark.end_labs is not None
    area = dark_end_area(replace(dark, end_labs=dark.end_labs[::-1]), dark.centreline_px)
    assert area is not None
    assert area[:, 0].min() == pytest.approx(dark.centreline_px[0, 0])
    assert dark_end_area(replace(dark, end_labs=None), dark.centreline_px) is None


def test_a_crumb_is_dotted_and_says_so() -> None:
    plate = made_up.plate()
    crumb = replace(plate.fries[0], length_mm=Measured(value=5.0, u=0.5))
    with_crumb = draw_plate(replace(made_up.graded(), plate=replace(plate, fries=(crumb,))), made_up.standard())
    without = draw_plate(replace(made_up.graded(), plate=replace(plate, fries=plate.fries[:1])), made_up.standard())
    assert with_crumb is not None
    assert without is not None
    assert with_crumb.shape[0] >= without.shape[0]
    assert not np.array_equal(with_crumb[-60:], without[-60:])
