"""Three published gauge studies: their readings, and what was published of their analysis.

- `SHAFTS`: the test data of an open-source statistics program (jasp-stats/jaspQualityControl, revision 38c84de,
  msaGaugeRRCrossed_long.csv) with the results that its tests expect (test-msaGaugeRR.R). Read there.
- `VIGNETTE`: the vignette of the R package qualityTools (cran/qualityTools, revision e7eeac7,
  vignettes/qualityTools.rnw), with the shares that it prints. Read there.
- `MANUAL`: the worked example of the measurement systems manual (10 parts, 3 people, 3 trials). Its readings are from
  memory, though they give the manual's printed figures; so no test rests on it alone.
"""

from grader.consistency.gauge.model import Condition, Reading

SHAFTS_OF_PEOPLE = {
    "A": "-.5 -.5 -.5 -7 -6.5 -6 -2 -2 -1.5 -8 -8 -7.5 -4 -4 -3.5 -2 -1 -2 -11 -11 -11 -6 -6 -6 -2 -2 -1 -6 -6 -6",
    "B": "-.5 -.5 -.5 -6.5 -7 -6.5 -1 -1 -2 -7 -7.5 -7.5 -3.5 -3.5 -4 -1 -2 -2 -11 -11 -11 -6 -6 -6 -2 -2 -2 -6 -6 -6",
    "C": "-1 -.5 -.5 -6 -6 -6 -2 -2 -1 -7 -7 -7 -3 -4 -4 -1 -1 -1 -11 -10 -11 -6 -5 -5 -2 -1 -2 -6 -6 -6",
}
VIGNETTE_IN_ORDER = (
    "23 22 22 22 22 25 23 22 23 22 20 22 22 22 24 25 27 28 23 24 23 24 24 22 22 22 24 23 22 24 "
    "20 20 25 24 22 24 21 20 21 22 21 22 21 21 24 27 25 27 23 22 25 23 23 22 22 23 25 21 24 23"
)
MANUAL_OF_PEOPLE = {
    "A": (
        ".29 -.56 1.34 .47 -.80 .02 .59 -.31 2.26 -1.36",
        ".41 -.68 1.17 .50 -.92 -.11 .75 -.20 1.99 -1.25",
        ".64 -.58 1.27 .64 -.84 -.21 .66 -.17 2.01 -1.31",
    ),
    "B": (
        ".08 -.47 1.19 .01 -.56 -.20 .47 -.63 1.80 -1.68",
        ".25 -1.22 .94 1.03 -1.20 .22 .55 .08 2.12 -1.62",
        ".07 -.68 1.34 .20 -1.28 .06 .83 -.34 2.19 -1.50",
    ),
    "C": (
        ".04 -1.38 .88 .14 -1.46 -.29 .02 -.46 1.77 -1.49",
        "-.11 -1.13 1.09 .20 -1.07 -.67 .01 -.56 1.45 -1.77",
        "-.15 -.96 .67 .11 -1.45 -.49 .21 -.49 1.87 -2.16",
    ),
}


def _reading(plate: int, person: str, value: str) -> Reading:
    return Reading(plate=str(plate), condition=Condition(person=person, phone="", light=""), value=float(value))


def shafts() -> list[Reading]:
    """Three readings of a part after each other."""
    return [
        _reading(index // 3, person, value)
        for person, values in SHAFTS_OF_PEOPLE.items()
        for index, value in enumerate(values.split())
    ]


def vignette() -> list[Reading]:
    """People fastest, then parts, then repeats."""
    return [_reading(index // 3 % 10, "ABC"[index % 3], value) for index, value in enumerate(VIGNETTE_IN_ORDER.split())]


def manual() -> list[Reading]:
    """A row a trial."""
    return [
        _reading(part, person, value)
        for person, trials in MANUAL_OF_PEOPLE.items()
        for trial in trials
        for part, value in enumerate(trial.split())
    ]
