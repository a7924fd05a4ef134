"""A table to type readings into."""

from grader.card.model import Layout
from grader.card_values.readings import sample_names


def template_csv(layout: Layout) -> str:
    """A table of CSV with a row for each patch of a sheet, for its bare paper, and for a mat's field; numbers empty."""
    remarks = (
        f"# Readings of the {layout.name} ({layout.key}): CIELAB, one row each; places are middles, mm from the corner",
        "# at the top left (right, down). Lay it on white paper and read each once, away from its edges.",
    )
    places = ["{:g} right {:g} down".format(*patch.area.middle_mm) for patch in layout.patches]
    places += ["bare paper"] + ["the plain grey that fries lie on"] * (layout.field_lab is not None)
    rows = [f"{name},{place},,," for name, place in zip(sample_names(layout), places, strict=True)]
    return "\n".join([*remarks, "number,place,L,a,b", *rows]) + "\n"
