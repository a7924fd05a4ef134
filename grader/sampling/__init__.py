"""Sampling and its risks: plans for lots, plates taken one by one, how far plates of a batch differ."""
