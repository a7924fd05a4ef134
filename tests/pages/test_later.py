"""A paper that is drawn when it is fetched speaks as the page spoke that offered it."""

from threading import Thread

from grader.language import current_language, speaking
from grader.pages.components.later import later


def test_a_paper_is_drawn_only_when_it_is_fetched_and_in_the_language_of_its_page() -> None:
    spoken: list[str] = []

    def draw() -> bytes:
        spoken.append(current_language())
        return b"paper"

    with speaking("es"):
        fetch = later(draw)
    assert spoken == []
    fetched: list[bytes] = []
    thread = Thread(target=lambda: fetched.append(fetch()))  # as Streamlit fetches it: in another thread
    thread.start()
    thread.join()
    assert (spoken, fetched) == (["es"], [b"paper"])
