"""Pages with something on them, in Spanish: a study, faults, a card's values; nothing is left in English."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from grader import pages
from grader.card_values import KnownValues
from grader.records.control_photos import RowOf, take_control
from grader.records.gauge_studies import named_folder, read_study
from grader.standard import write_standard
from tests.card.scenes import layout_of
from tests.card_values.tables import csv_of, lab_of
from tests.consistency.control_photos import CARD, START, pixels, png
from tests.pages.conftest import Page
from tests.pages.spoken import english, said
from tests.pages.test_gauge_study import add_all, planned
from tests.pages.test_house_standard import BASE, keep, key
from tests.pages.test_your_cards import filled_in

FOLDER = Path(pages.__file__).parent


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FRY_GRADER_HOME", str(tmp_path))
    return tmp_path


def opened(page: Page, name: str) -> AppTest:
    return page().switch_page(str(FOLDER / name)).run()


def in_spanish(at: AppTest) -> str:
    """The page as it stands, in Spanish; all it says, once none of it is English."""
    at.session_state["language"] = "es"
    at.run(timeout=60)
    assert not at.exception
    assert english(at) == []
    return "\n".join(said(at))


def test_english_is_found_where_there_is_some(page: Page) -> None:
    at = opened(page, "watch_the_method.py")
    assert len(english(at)) > 15
    assert "Estudio del método" in in_spanish(at)


def test_a_study_before_its_first_photo_and_after_its_last(page: Page) -> None:
    at = planned(opened(page, "watch_the_method.py"), plates=4)
    assert "Sigue: Foto 1" in in_spanish(at)
    add_all(read_study(named_folder("three phones")))
    told = in_spanish(opened(page, "watch_the_method.py"))
    assert "el método distingue" in told
    assert "la mayor parte de su duda es la persona" in told
    assert "lo mismo otra vez (repetibilidad)" in told
    assert "plato x condición" in told


def test_a_plan_that_can_not_be(page: Page) -> None:
    at = planned(opened(page, "watch_the_method.py"), people="AB")
    at.button(key="gauge_draw").click()
    assert "nada podría variar" in in_spanish(at)


def test_a_control_photograph_with_its_chart(page: Page) -> None:
    for number in range(1, 6):
        take_control(
            png(pixels(CARD, number=number)), name="card.png", row=RowOf(phone="uno", first=5),
            known=KnownValues(on=START.date(), values=()), now=START,
        )  # fmt: skip
    at = opened(page, "watch_the_method.py")
    at.text_input(key="control_phone").input("uno")
    photo = png(pixels(CARD, number=30, gain=(1.0, 0.9, 0.7)))
    at.file_uploader(key="control_photo").set_value(("card.png", photo, "image/png"))
    at.button(key="control_hold").click()
    told = in_spanish(at)
    assert "La tarjeta se ve cambiada" in told.replace("\\", "")
    assert "parches como los vio la cámara" in told


def test_a_standard_with_faults_and_one_that_was_kept(page: Page) -> None:
    at = opened(page, "house_standard.py")
    at.number_input(key=key("cut.width_mm")).set_value(500.0)
    at.number_input(key=key("scale.target_from")).set_value(9.0)
    at.text_input(key=key("scale.steps.0.name")).input("").run()
    told = in_spanish(at)
    assert "debe ser un número de 2 a 40 mm" in told
    assert "está en blanco" in told


def test_the_history_of_a_standard(page: Page) -> None:
    at = opened(page, "house_standard.py")
    at.number_input(key=key("scale.target_to")).set_value(4.5)
    told = in_spanish(keep(at, name="casa", why="acordado"))
    assert "por qué: acordado" in told
    assert "aún no ha juzgado nada" in told


def test_a_file_of_a_standard_with_faults(page: Page) -> None:
    text = write_standard(BASE).replace("width_mm = 9.5", "width_mm = 500.0").replace("version =", "versoin =")
    at = opened(page, "house_standard.py")
    at.selectbox(key="edited_standard").set_value("own").run()
    at.session_state["language"] = "es"
    at.file_uploader(key="edited_standard_file").set_value(("mine.toml", text.encode(), "text/plain"))
    told = in_spanish(at)
    assert "mine.toml tiene faltas" in told
    assert "línea" in told
    assert "no es un campo de una norma. ¿Quiso decir version?" in told


def test_values_of_a_card_and_readings_at_fault(page: Page) -> None:
    card = layout_of("card-148")
    readings = csv_of(card, lab_of(card))
    told = in_spanish(filled_in(opened(page, "your_cards.py"), readings))
    assert "valores de instrumento" in told
    at = opened(page, "your_cards.py")
    at.session_state["language"] = "es"
    faulty = filled_in(at, readings.replace("\n3,", "\n4,"))
    assert "está dos veces" in "\n".join(one.value for one in faulty.error)
    assert english(faulty) == []
