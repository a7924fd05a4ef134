"""The values of a print run for other programs."""

from datetime import date

from grader.card_values import CardValues
from grader.records.json_values import Json, number
from grader.records.readings import values_facts


def values_record(values: CardValues, *, on: date) -> Json:
    """A measurement ready for JSON."""
    return {
        "sheet": values.layout,
        **values_facts(values),
        "old": values.expired(on),
        "patch_lab": [[number(one) for one in lab] for lab in values.patch_lab.tolist()],
        "patch_lab_u": [[number(one) for one in u] for u in values.patch_lab_u.tolist()],
    }
