"""Every word that a page shows goes through the catalogues: no text stands bare in a call that shows it."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from grader import pages
from grader.language.listing import texts
from grader.pages.components.words import CAUTION

FOLDER = Path(pages.__file__).parent
LOOKED_UP = {"tr", "trn", "said", "retell", "heard"}
NOT_SHOWN = {"key", "type", "icon", "mime", "file_name", "format", "layout", "width", "alias", "position", "bind"}
SHOWN_ANYHOW = {"Europe/Lisbon"}
SHOWERS = {"st", "left", "middle", "right", "draw", "ask_figure", "ask_yes_no", "ask_name"}
WORDS = re.compile(r"[A-Za-z]{2,} [A-Za-z]{2,}|^\W*[A-Z][a-z]{2,}")


def _bare(call: ast.Call) -> Iterator[str]:
    """Texts with words among a call's arguments, outside all that looks them up; markup isn't words."""
    given = [*call.args, *(key.value for key in call.keywords if key.arg not in NOT_SHOWN)]
    for node in given:
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        elif isinstance(node, ast.JoinedStr):
            text = " ".join(str(part.value) for part in node.values if isinstance(part, ast.Constant))
        else:
            continue
        text = re.sub(r"<[^>]*>|:material/\w+:|\{[^}]*\}", " ", text)
        if WORDS.search(text) and text not in SHOWN_ANYHOW and "<" not in text:
            yield text


def _root(called: ast.expr) -> str:
    """`st` of st.write, and so on; the name of what is called by a name alone."""
    root = called.value if isinstance(called, ast.Attribute) else called
    return root.id if isinstance(root, ast.Name) else ""


def test_no_widget_shows_words_that_no_catalogue_knows() -> None:
    found = []
    for file in sorted(FOLDER.rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and _root(node.func) in SHOWERS:
                found += [f"{file.name}:{node.lineno} {text}" for text in _bare(node)]
    assert not found


def test_no_text_of_the_page_says_done_or_safe() -> None:
    """Colour is not doneness: but for the caution itself, and for how many photos were graded."""
    promised = re.compile(r"\b(done|doneness|safe|safely|safety|cooked|healthy|ready)\b", re.IGNORECASE)
    said = [re.sub(r"\{\w+\}", "", f"{one.english} {one.plural}") for one in texts([FOLDER])]
    assert len(said) > 300
    assert {text.strip() for text in said if promised.search(text)} == {CAUTION}
