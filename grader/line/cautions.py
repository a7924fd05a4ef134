"""The usual cautions, told wherever somebody fries, holds or cools by this program's words; each with its source."""

from dataclasses import dataclass

from grader.language import said

COMMON_PRACTICE = said("common practice")


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One caution, in English; `source` says who says so."""

    words: str
    source: str


OIL = Caution(
    words=said(
        "Hot oil and hot water burn. Never put ice, frost or wet strips into hot oil, for it boils over: dry them, "
        "lower the basket slowly, keep water away. Only who is trained for it works at the fryer."
    ),
    source=COMMON_PRACTICE,
)
COOLING = Caution(
    words=said(
        "Par-fried strips that are kept are cooled from 57 to 21 °C (135 to 70 °F) within 2 h, and to 5 °C (41 °F) "
        "within 6 h in all."
    ),
    source=said("FDA Food Code, 3-501.14, read in a summary; for information"),
)
HOLDING = Caution(
    words=said(
        "Held fries are kept at 57 °C (135 °F) or hotter, or are thrown away after 4 h at most where time alone is the "
        "control. A plate that stood for its photo is not served."
    ),
    source=said("FDA Food Code, 3-501.16 and 3-501.19, read in reprints and summaries; for information"),
)
ACRYLAMIDE = Caution(
    words=said(
        "Acrylamide: food agencies commonly advise frying to a lighter gold. Colour is no measurement of it, and no "
        "sign that a fry is cooked through."
    ),
    source=said("Commission Regulation (EU) 2017/2158"),
)
LAW = Caution(
    words=said(
        "Where Regulation (EU) 2017/2158 holds, fries are fried below 175 °C (347 °F), and as low as food safety "
        "allows. Common practice elsewhere finishes near 191 °C (375 °F): that conflicts with it."
    ),
    source=said("Commission Regulation (EU) 2017/2158, annex II, part A"),
)
LOCAL = Caution(
    words=said("These figures are information. Your local code and licensed practice come first."),
    source=COMMON_PRACTICE,
)
FRYING = (OIL, ACRYLAMIDE, LAW, LOCAL)
"""Where something is fried."""
WHOLE_LINE = (OIL, COOLING, HOLDING, ACRYLAMIDE, LAW, LOCAL)
"""Where all of the line is told."""
