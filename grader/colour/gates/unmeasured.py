"""Words about a card whose print nobody measured.

No printer hits a design: a home printer's patches lie 3 to 8 CIELAB units off theirs (common practice, no source).
Where the design is all that is known, patches that stray from it say that colours are less sure, and no more.
"""

NOT_AS_DESIGNED = "the card isn't printed as designed (no measured colours are known of it)"
MEASURE_IT = (
    "Have a card of this print run measured once: by an instrument (python -m grader card-values import) or beside a"
    " trusted chart (python -m grader card-values from-chart). Until then compare only with plates beside the same"
    " card."
)
