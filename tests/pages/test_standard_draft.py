"""A standard as fields on the page: nothing is lost on the way there and back, and faults stand beside their fields."""

from collections.abc import Iterator

from hypothesis import given

from grader.pages.components.standard_draft import SHARES, STEPS, Values, checked, content_of, values_of
from grader.standard import Standard, load_shipped, standard_content
from tests.standard.test_writing import standards

STANDARD = load_shipped()["strips-9.5mm-skin-on"]


def with_places(values: Values) -> Iterator[str]:
    """Every field that has a place of its own on the page, for faults to stand beside."""
    yield from (key for key in values if not key.startswith((f"{STEPS}.", f"{SHARES}.")))
    for name in (STEPS, SHARES):
        yield from (f"{name}.{number}" for number in values[name])


@given(standards())
def test_fields_and_back_lose_nothing(standard: Standard) -> None:
    values = values_of(standard)
    assert content_of(values) == standard_content(standard)
    assert checked(values).standard == standard


def test_every_fault_stands_beside_a_field_that_is_shown() -> None:
    values = values_of(STANDARD)
    values |= {
        "name": " ",
        "scale.target_to": 2.0,
        "scale.steps.2.L": None,
        "cut.width_mm": 95.0,
        "limits.short_share_at_most": 25.0,
        "limits.length_shares.1.at_least_share": 0.9,
        "stages.blanched.target_to": None,
        "defects.scrap_below_mm": None,
    }
    told = checked(values)
    assert told.standard is None
    assert set(told.faults) == {
        "name",
        "scale.target_from",
        "scale.steps.2",
        "cut.width_mm",
        "limits.short_share_at_most",
        "limits.scrap_share_at_most",
        "limits.length_shares.1",
        "stages.blanched.target_to",
    }
    assert set(told.faults) <= set(with_places(values))
    assert told.count == 8


def test_a_fault_stays_with_its_entry_when_one_before_it_is_taken_away() -> None:
    values = values_of(STANDARD) | {"scale.steps": [1, 2, 3, 4, 5, 6], "scale.steps.2.name": ""}
    assert list(checked(values).faults) == ["scale.steps.2"]
