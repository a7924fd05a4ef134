"""Grades a photographed plate of fries: colour, cut and defects, with the doubt stated."""
