"""The values that a printed card has got by being measured: kept per print run, looked up by serial, aged, compared."""

from grader.card_values.applying import apply_values, patch_lab_u
from grader.card_values.document import read_values, write_values
from grader.card_values.identifying import IdentifiedCard, disowned, identify_card
from grader.card_values.importing import Measurement, import_readings
from grader.card_values.keeping import keep_values, load_values, values_folder
from grader.card_values.lookup import (
    KnownValues,
    as_of,
    find_values,
    known_values,
    measured_runs,
    newest_of_each,
    values_for,
)
from grader.card_values.misfit import ValuesFit, compare_fits, fit_by_design
from grader.card_values.model import AsRead, CardValues, Method, designed_values
from grader.card_values.samples import sheet_samples
from grader.card_values.template import template_csv
from grader.card_values.words import card_words, values_lines

__all__ = [
    "AsRead",
    "CardValues",
    "IdentifiedCard",
    "KnownValues",
    "Measurement",
    "Method",
    "ValuesFit",
    "apply_values",
    "as_of",
    "card_words",
    "compare_fits",
    "designed_values",
    "disowned",
    "find_values",
    "fit_by_design",
    "identify_card",
    "import_readings",
    "keep_values",
    "known_values",
    "load_values",
    "measured_runs",
    "newest_of_each",
    "patch_lab_u",
    "read_values",
    "sheet_samples",
    "template_csv",
    "values_folder",
    "values_for",
    "values_lines",
    "write_values",
]
