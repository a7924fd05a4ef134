"""Sentences that lower rooms made in English, said again in the current language.

What is judged, kept and hashed is English, so that a record reads alike in every kitchen. A page that shows such a
sentence looks for the catalogue's entry whose English it is: word for word, or with {gaps} that hold figures, names and
parts that are retold in turn. Of several entries that fit, the one with most of its own letters is taken. What stands
alone may begin with a capital and end with a full stop where the entry doesn't.

What people and the house named is never translated, however much it looks like words of the program: it stands in gaps
of their own (`_NAMED`), which are put back letter by letter. So never retell a bare name; and where a name could end
in more than one place, the text stays English.
"""

import heapq
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import chain
from typing import Literal

from grader.language.catalogues import SOURCE, singles
from grader.language.chosen import current_language

_GAP = re.compile(r"\{(\w+)\}")
_BETWEEN = re.compile(r"\{\w+\}")
_SENTENCES = re.compile(r"(?<=[.!?]) (?=[A-ZÀ-Ü])")
_PARTS = re.compile(rf" \+ |{_SENTENCES.pattern}")
_JOINTS = re.compile(rf"; |{_PARTS.pattern}")
_NAMED = frozenset({"name", "names", "other", "one", "step", "run", "kitchen", "lights", "text"})
"""Gaps for what people or the house named or wrote: any words, and never retold."""
_FREE = frozenset({"detail", "kind", "place", "day", "doing", "unit", "until", "field", "sheet", "events"})
"""Gaps for words of the program or of a library, known or not; retold where a catalogue knows them."""
_WORDS = re.compile(r"[A-Za-z]{3,}")
_Names = Literal["plain", "parted", "masked"]
_MASK = "\ue000"
"""Stands for a name: a sign of no language."""


def retell(english: str) -> str:
    """A text of a lower room in the current language; whatever no catalogue knows stays English."""
    language = current_language()
    return english if language == SOURCE else _retold(english, language)


def forget() -> None:
    """Look everything up anew: another catalogue is there."""
    for kept in (_retold, _known, _book):
        kept.cache_clear()


def untold(english: str, language: str, names: Sequence[str] | None = None) -> list[str]:
    """The sentences of a text that no entry of this language's catalogues covers; those without words need none.

    With `names` nothing but these and figures may fill a gap for names, which else hides that an entry is missing.
    """
    for name in names or ():
        english = english.replace(name, _MASK)
    told = _told(english, language) if names is None else _told(english, language, "masked")
    return [left for left, known in told if known is None and _WORDS.search(left)]


@lru_cache(maxsize=4096)
def _retold(english: str, language: str) -> str:
    return " ".join(left if told is None else told for left, told in _told(english, language))


def _told(english: str, language: str, only: "_Names | None" = None) -> list[tuple[str, str | None]]:
    """A text in parts, each with how it is retold: as many sentences together as an entry covers, else one."""
    sentences, told = _SENTENCES.split(english), []
    while sentences:
        ends = range(len(sentences), 0, -1)
        plain: Iterator[tuple[int, _Names]] = ((end, only or "plain") for end in ends)
        # A name with a full stop in it breaks its sentence: only what is known no other way may run on within a name.
        parted: Iterator[tuple[int, _Names]] = ((end, "parted") for end in reversed(ends) if only is None)
        for end, names in chain(plain, parted):
            part = " ".join(sentences[:end])
            known = _known(part, language, names)
            if known is not None:
                break
        else:
            end, part, known = 1, sentences[0], None
        told.append((part, known))
        sentences = sentences[end:]
    return told


@lru_cache(maxsize=4096)
def _known(english: str, language: str, names: _Names) -> str | None:
    """As it stands, or with its first letter or its end another way, which are then put back.

    `names`: "parted" ones may hold what else parts sentences and lists; "masked" ones no words.
    """
    whole = singles(language).get(english)
    if whole is not None:
        return whole
    if names == "parted" and _PARTS.search(english) is None:
        return None
    folded, sentences = _folded(english), len(_SENTENCES.findall(english))
    book = _book(language)
    for entry in book.plain.get(folded, ()):
        return entry.put({}, english, language)
    begun = (book.gapped.get(first, ()) for first in {folded[:2], folded[:1], ""})
    for entry in heapq.merge(*begun, key=_rank):
        if sentences in entry.sentences if names != "parted" else min(entry.sentences) <= sentences:
            readings = entry.readings(folded if entry.pieces[0] else english.removesuffix("."), language, names)
            if readings:
                return entry.put(readings[0], english, language) if len(readings) == 1 else None
    return None


def _folded(english: str) -> str:
    """Without what may differ: a capital at the beginning, a full stop at the end."""
    return english[:1].lower() + english[1:].removesuffix(".")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Entry:
    """An entry: its English, as it stands and what stands before, between and after its gaps; what these are called.

    `sentences`: how many ends of sentences it has within: whether one before a gap counts, what fills the gap says.
    """

    english: str
    pieces: tuple[str, ...]
    names: tuple[str, ...]
    sentences: frozenset[int]
    translation: str

    def put(self, gaps: Mapping[str, str], text: str, language: str) -> str:
        """The translation with its gaps filled, begun and ended as the text is."""
        filled = {name: part if name in _NAMED else _retold(part, language) for name, part in gaps.items()}
        told = self.translation.format(**filled) if gaps else self.translation
        if self.pieces[0] and text[:1] != self.english[:1]:
            told = (told[:1].upper() if text[:1].isupper() else told[:1].lower()) + told[1:]
        return told.removesuffix(".") + ("." if text.endswith(".") else "")

    def readings(self, text: str, language: str, names: _Names) -> list[dict[str, str]]:
        """What fills the gaps; none where it isn't this text, two where a name could end in more than one place."""
        if not (text.startswith(self.pieces[0]) and text.endswith(self.pieces[-1])):
            return []
        fillings = [_shortest(self.pieces, text)]
        if len(self.names) > 1 and not _NAMED.isdisjoint(self.names):
            fillings.append(_longest(self.pieces, text))
        fitting = [
            gaps
            for filled in fillings
            if filled is not None
            and (gaps := self._named(filled)) is not None
            and all(_fits(*gap, language, names) for gap in gaps.items())
        ]
        named = [{name: gaps[name] for name in _NAMED & gaps.keys()} for gaps in fitting]
        return fitting if any(one != named[0] for one in named) else fitting[:1]

    def _named(self, filled: Sequence[str]) -> dict[str, str] | None:
        """Each filling by its gap's name; none where one name holds two things, or one in quotation marks has these."""
        gaps = dict(zip(self.names, filled, strict=True))
        quoted = (
            before.endswith('"') and after.startswith('"') and '"' in part
            for before, part, after in zip(self.pieces, filled, self.pieces[1:], strict=False)
        )
        alike = all(gaps[name] == part for name, part in zip(self.names, filled, strict=True))
        return gaps if alike and not any(quoted) else None


def _shortest(pieces: Sequence[str], text: str) -> list[str] | None:
    """What fills the gaps between pieces, each as short as it can be; only the last one may have to be longer."""
    at, filled = len(pieces[0]), []
    for piece in pieces[1:-1]:
        found = text.find(piece, at + 1)
        if found < 0:
            return None
        filled.append(text[at:found])
        at = found + len(piece)
    end = len(text) - len(pieces[-1])
    return [*filled, text[at:end]] if at < end else None


def _longest(pieces: Sequence[str], text: str) -> list[str] | None:
    """The same, each as long as it can be from the first one on: read backwards each is as short as it can be."""
    filled = _shortest([piece[::-1] for piece in reversed(pieces)], text[::-1])
    return None if filled is None else [part[::-1] for part in reversed(filled)]


def _fits(name: str, part: str, language: str, names: _Names) -> bool:
    """Names hold anything; else what fills a gap is known or without words: no sentence with "and" in it is a list."""
    if not _WORDS.search(part) and name not in _NAMED:
        return True
    if name in _NAMED:
        return names == "parted" or (_WORDS if names == "masked" else _PARTS).search(part) is None
    if name in _FREE and names != "masked" and _JOINTS.search(part) is None:
        return True
    if _SENTENCES.search(part):
        return all(told is not None for _, told in _told(part, language, "masked" if names == "masked" else None))
    return _known(part, language, names) is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Book:
    """A language's entries, those without gaps as they are `_folded`, the others by their first two letters at most.

    Those with gaps stand in the order of `_rank`; under "" those that begin with a gap.
    """

    plain: Mapping[str, Sequence[_Entry]]
    gapped: Mapping[str, Sequence[_Entry]]


@cache
def _book(language: str) -> _Book:
    plain, gapped = defaultdict[str, list[_Entry]](list), defaultdict[str, list[_Entry]](list)
    for english, text in singles(language).items():
        names = tuple(_GAP.findall(english))
        pieces = tuple(_BETWEEN.split(_folded(english)))
        entry = _Entry(
            english=english,
            pieces=pieces,
            names=names,
            sentences=frozenset(len(_SENTENCES.findall(_BETWEEN.sub(filled, english))) for filled in "X0"),
            translation=text,
        )
        (gapped[pieces[0][:2]] if names else plain[pieces[0]]).append(entry)
    return _Book(plain=plain, gapped={first: sorted(entries, key=_rank) for first, entries in gapped.items()})


def _rank(entry: _Entry) -> tuple[int, int, bool]:
    """First those with most letters outside their gaps, of these those for most names, then those begun by letters."""
    return -sum(map(len, entry.pieces)), -len(_NAMED.intersection(entry.names)), not entry.pieces[0]
