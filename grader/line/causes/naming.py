"""What each fact that a rule may ask about is called, in plain words."""

from grader.line.causes.symptoms import SYMPTOMS
from grader.line.house_notes import NOTES
from grader.line.sheet import FIGURES, WORDS

_DERIVED = {
    "blanch_c_over": "blanch_c",
    "finish_c_over": "finish_c",
    "cut_mm_over": "cut_mm",
    "blanch_time": "blanch_s",
    "finish_time": "finish_s",
    "load_per_oil": "load_kg",
    "oil_fell_c": "oil_lowest_c",
}
_SHEET = {name: figure.title for name, figure in FIGURES.items()} | {name: title for name, (title, _) in WORDS.items()}
FACT_TITLES = {
    **SYMPTOMS,
    **_SHEET,
    **{name: note.title for name, note in NOTES.items()},
    **{name: _SHEET[of] for name, of in _DERIVED.items()},
}
"""Of every fact: what is derived is called as the field that it is made of."""
