"""Catalogues of texts: gettext's .po files, one an area of the program, read when a language is first spoken.

English is the source: its sentences are the message ids. A language is a folder beside this module, and all .po files
in it count together. They are compiled in memory, so that no compiled file can fall behind its source.
"""

import gettext
import io
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

SOURCE = "en"
LANGUAGES = {"en": "English", "es": "Español"}
"""Codes (ISO 639-1) and what each language calls itself."""
_FOLDERS = {"es": "spanish"}
_PLURALS = {"es": "nplurals=2; plural=(n != 1);"}
"""As the heads of the .po files say. A library's own rules have a third form, for whole millions, that no entry has."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One text of a catalogue: `english` (and `plural`, empty where it has none) with its translations, one a form."""

    area: str
    english: str
    plural: str
    translations: tuple[str, ...]
    fuzzy: bool

    @property
    def whole(self) -> bool:
        """Somebody translated it, and nobody marked it as doubtful."""
        return bool(self.translations) and all(self.translations) and not self.fuzzy


def entries(language: str) -> Iterator[Entry]:
    """Every text of every area of a language, the areas by name; none for English."""
    from babel.messages.pofile import read_po  # noqa: PLC0415 - whoever speaks English never waits for it

    if language == SOURCE:
        return
    folder = files("grader.language").joinpath(_FOLDERS[language])
    for file in sorted(folder.iterdir(), key=lambda file: file.name):
        if not file.name.endswith(".po"):
            continue
        for message in read_po(io.BytesIO(file.read_bytes()), locale=language):
            if message.id:
                ids, texts = message.id, message.string
                english, plural = (ids, "") if isinstance(ids, str) else (ids[0], ids[1])
                yield Entry(
                    area=file.name.removesuffix(".po"),
                    english=english,
                    plural=plural,
                    translations=(texts,) if isinstance(texts, str) else tuple(texts or ()),
                    fuzzy=message.fuzzy,
                )


@cache
def catalogue(language: str) -> gettext.NullTranslations:
    """The texts of a language; for English one that gives back what it is asked."""
    if language == SOURCE:
        return gettext.NullTranslations()
    from babel.messages.catalog import Catalog  # noqa: PLC0415
    from babel.messages.mofile import write_mo  # noqa: PLC0415

    merged = Catalog(locale=language)
    merged.mime_headers = [("Plural-Forms", _PLURALS[language])]
    for entry in entries(language):
        if entry.whole:
            ids = (entry.english, entry.plural) if entry.plural else entry.english
            merged.add(ids, entry.translations if entry.plural else entry.translations[0])
    compiled = io.BytesIO()
    write_mo(compiled, merged)
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)


@cache
def singles(language: str) -> dict[str, str]:
    """English to translated, of all texts without a plural: what `retelling` looks through."""
    return {entry.english: entry.translations[0] for entry in entries(language) if entry.whole and not entry.plural}
