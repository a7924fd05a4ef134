"""What a person mended on a plate, as it goes on disk: each mend, by whom and when, and what was there before."""

from typing import Any

from grader.fries.mends import Drop, Join, Mend, Restore, Split, mend_words

_KINDS: dict[type[Mend], str] = {Join: "join", Drop: "drop", Restore: "restore", Split: "split"}


def mend_record(mend: Mend) -> dict[str, Any]:
    """One mend: its kind, the fries that it is about and that came of it, and for a split the line, px of the photo."""
    record: dict[str, Any] = {
        "kind": _KINDS[type(mend)],
        "by": mend.by,
        "at": mend.at.isoformat(timespec="seconds"),
        "words": mend_words(mend),
    }
    match mend:
        case Join():
            return {**record, "fries": list(mend.numbers), "becomes": [mend.becomes]}
        case Split():
            line = [[round(value, 2) for value in point] for point in mend.line_px]
            return {**record, "fries": [mend.number], "line_px": line, "becomes": list(mend.becomes)}
        case Drop() | Restore():
            return {**record, "fries": list(mend.numbers), "becomes": []}
