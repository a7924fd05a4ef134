"""What a page shows, in words, and whether any of it is English."""

import re
from collections.abc import Iterator
from typing import Any

import pandas as pd
from google.protobuf.json_format import MessageToDict  # type: ignore[import-untyped]
from streamlit.testing.v1 import AppTest

ENGLISH = re.compile(
    r"(?<![\w./-])(?:the|of|and|is|are|isn't|can't|doesn't|with|by|from|to|was|were|that|this|which|than|its|each|every|"
    r"has|have|they|there|you|your|not|only|must|give|take|read|kept|plate|plates|photo|fries|steps|left out|lot|"
    r"what|when|why|how|more|less|one|two|all|any|at most|at least|for)(?![\w./-])",
    re.IGNORECASE,
)
"""Words that no Spanish sentence has, and nearly every English one."""
_SHOWN = {
    "label",
    "body",
    "help",
    "placeholder",
    "alt",
    "caption",
    "options",
    "text",
    "message",
    "title",
    "content",
    "html",
}
_MARKUP = re.compile(r"<style>.*?</style>|<[^>]*>|:\w+\[|:material/\w+:|`[^`]*`|\\", re.DOTALL)


def said(at: AppTest) -> Iterator[str]:
    """Everything that stands on the page, a text at a time."""
    for element in at.main:
        frame = getattr(element, "value", None)
        if isinstance(frame, pd.DataFrame):
            yield from (str(name) for name in frame.columns)
            yield from (one for name in frame.columns for one in frame[name] if isinstance(one, str))
            yield from (one for one in frame.index if isinstance(one, str))
        proto = getattr(element, "proto", None)
        if proto is not None:
            yield from _words_of(MessageToDict(proto, preserving_proto_field_name=True))


def _words_of(told: Any, name: str = "") -> Iterator[str]:
    if isinstance(told, dict):
        for key, value in told.items():
            yield from _words_of(value, key)
    elif isinstance(told, list):
        for value in told:
            yield from _words_of(value, name)
    elif isinstance(told, str) and name in _SHOWN:
        yield _MARKUP.sub("", told)


def english(at: AppTest) -> list[str]:
    """Texts of the page with English words in them."""
    return [text for text in dict.fromkeys(said(at)) if ENGLISH.search(text)]
