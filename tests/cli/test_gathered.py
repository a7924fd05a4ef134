import io
import subprocess
import sys
from pathlib import Path

import pytest
from rich.console import Console

from grader.cli.gathered import tell_gathered
from grader.running.photo_batch import PhotoBatch


def batch(count: int) -> PhotoBatch:
    return PhotoBatch(name="one", photos=tuple(Path(f"{number}.jpg") for number in range(count)))


@pytest.mark.parametrize(
    ("counts", "words"),
    [((1,), "1 photo in 1 batch"), ((2,), "2 photos in 1 batch"), ((2, 1), "3 photos in 2 batches")],
)
def test_it_says_how_many_photos_there_are(counts: tuple[int, ...], words: str) -> None:
    said = io.StringIO()
    tell_gathered(Console(file=said), [batch(count) for count in counts], [])
    assert said.getvalue() == f"{words}\n"


def test_it_says_what_was_left_out() -> None:
    said = io.StringIO()
    tell_gathered(Console(file=said), [batch(1)], [Path("notes/[list].txt"), Path("a\n2 photos\x1b[8m")])
    assert said.getvalue().split("\n")[1] == "Left out, being no photos: [list].txt, a\ufffd2 photos\ufffd[8m"


def test_the_first_word_comes_before_all_that_is_slow_to_import() -> None:
    rooms = "grader.cli.commands, grader.cli.gathered, grader.cli.photos, grader.cli.plain_words"
    slow = "{'cv2', 'scipy', 'numpy', 'sqlalchemy', 'pandas', 'streamlit'}"
    command = [sys.executable, "-c", f"import sys, {rooms}; print(*({slow} & set(sys.modules)))"]
    assert subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip() == ""
