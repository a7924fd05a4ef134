"""Which texts lack a translation: `python -m grader.language.listing [PATH...]` (else the whole package)."""

import ast
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from grader.language.catalogues import LANGUAGES, SOURCE, entries

_TELLERS = {"tr": 1, "trn": 2, "said": 1}
"""Functions whose first texts are looked up, and how many those are; `said` marks a text that is told later."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A text of the program and where it is told."""

    file: Path
    line: int
    english: str
    plural: str = ""


def texts(paths: Sequence[Path]) -> Iterator[Text]:
    """Every text that the Python files of these paths look up; one that isn't written out there is an error."""
    for path in paths:
        for file in sorted(path.rglob("*.py")) if path.is_dir() else [path]:
            yield from _texts_of(file)


def missing(found: Sequence[Text], language: str) -> list[Text]:
    """Those that this language's catalogues lack or mark as doubtful."""
    known = {(entry.english, entry.plural) for entry in entries(language) if entry.whole}
    return [text for text in found if (text.english, text.plural) not in known]


def _texts_of(file: Path) -> Iterator[Text]:
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in _TELLERS):
            continue
        given = [arg.value for arg in node.args[: _TELLERS[node.func.id]] if isinstance(arg, ast.Constant)]
        if len(given) == _TELLERS[node.func.id]:
            english, *plural = (str(text) for text in given)
            yield Text(file=file, line=node.lineno, english=english, plural="".join(plural))


def main(arguments: Sequence[str]) -> int:
    """Prints what is missing as .po entries to fill in; 1 where anything is."""
    found = list(texts([Path(name) for name in arguments] or [Path(__file__).parents[1]]))
    lacking = 0
    for language in LANGUAGES:
        if language == SOURCE:
            continue
        told: set[tuple[str, str]] = set()
        for text in missing(found, language):
            if (text.english, text.plural) in told:
                continue
            told.add((text.english, text.plural))
            print(f"#: {text.file}:{text.line}\n{_po(text)}\n")  # noqa: T201
        lacking += len(told)
    return 1 if lacking else 0


def _po(text: Text) -> str:
    if text.plural:
        return f'msgid {_quoted(text.english)}\nmsgid_plural {_quoted(text.plural)}\nmsgstr[0] ""\nmsgstr[1] ""'
    return f'msgid {_quoted(text.english)}\nmsgstr ""'


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    return f'"{escaped}"'


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
