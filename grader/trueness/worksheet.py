"""The plan of a kit as a page to print: how the pieces are made, then each photo with what lies where."""

from collections.abc import Iterator
from html import escape

from grader.trueness.guide import LAYING, height_words, making_lines
from grader.trueness.model import COLUMNS, PLACES, Kit, PlannedPhoto

_STYLE = """
body { font: 12pt/1.4 sans-serif; max-width: 18cm; margin: 1cm auto; }
section { break-inside: avoid; margin-top: 1cm; }
table { border-collapse: collapse; width: 100%; table-layout: fixed; }
td { border: 1px solid #000; height: 2.2cm; vertical-align: top; padding: 2mm; }
small { display: block; color: #444; }
"""


def worksheet_html(kit: Kit) -> str:
    """The whole plan as one HTML page; it holds all that it needs and asks nothing of any server."""
    return "\n".join(_lines(kit)) + "\n"


def _lines(kit: Kit) -> Iterator[str]:
    yield '<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>Trueness study</title>'
    yield f"<style>{_STYLE}</style></head><body>"
    yield "<h1>Trueness study: worksheet</h1>"
    yield f"<p>Card: {escape(kit.sheet)}. {len(kit.photos)} photos under {len(kit.lights)} light(s).</p>"
    yield "<h2>Make and measure the pieces</h2>"
    yield from (f"<p>{escape(line)}</p>" for line in making_lines(kit))
    yield "<h2>Lay them and take the photos</h2>"
    yield f"<p>{escape(LAYING)}</p>"
    for photo in kit.photos:
        yield from _photo(photo)
    yield "</body></html>"


def _photo(photo: PlannedPhoto) -> Iterator[str]:
    yield f"<section><h3>&#9744; {escape(photo.name)}</h3>"
    yield f"<p>Light: <b>{escape(photo.light)}</b>. {escape(height_words(photo))} File: {escape(photo.file)}</p>"
    yield "<table>"
    pieces = {laid.place: laid.pieces for laid in photo.laid}
    for first in range(1, PLACES + 1, COLUMNS):
        cells = (
            f"<td><small>{place}</small>{'<br>'.join(escape(name) for name in pieces.get(place, ()))}</td>"
            for place in range(first, first + COLUMNS)
        )
        yield f"<tr>{''.join(cells)}</tr>"
    yield "</table></section>"
