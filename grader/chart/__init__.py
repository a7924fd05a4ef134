"""A 24-patch chart of known colours: its published values, finding and reading it in a photo, and what it is good for.

It checks the correction (fitted on the odd patches, held against the even ones) and gives a printed card its values.
"""

from grader.chart.checking import ChartCheck, ChartPhoto, CheckedPhoto, Figures, RefusedPhoto, check_photos
from grader.chart.editions import DEFAULT_EDITION, chart_values, load_editions
from grader.chart.finding import chart_at, find_chart
from grader.chart.model import ChartReadings, ChartValues, FoundChart
from grader.chart.prediction import METHODS, Prediction, predict_even
from grader.chart.reading import read_chart

__all__ = [
    "DEFAULT_EDITION",
    "METHODS",
    "ChartCheck",
    "ChartPhoto",
    "ChartReadings",
    "ChartValues",
    "CheckedPhoto",
    "Figures",
    "FoundChart",
    "Prediction",
    "RefusedPhoto",
    "chart_at",
    "chart_values",
    "check_photos",
    "find_chart",
    "load_editions",
    "predict_even",
    "read_chart",
]
