"""Entries to jobs: what all rows of all files say together about each job, and where it came from.

``jobs`` is the door, ``names`` finds which entries speak of one job, ``logs`` sums hours and cost
lines (``exchange`` turns currencies, ``callbacks`` keeps call-back work apart, ``purchases`` and
``twins`` find what is on file twice), ``phases`` and ``totals`` settle the figures, ``trail`` keeps
where each came from and where two records disagree.
"""

from costlearn.assembly.jobs import assemble, finish_unknown, waiting_costs
from costlearn.assembly.twins import twin_questions

__all__ = ["assemble", "finish_unknown", "twin_questions", "waiting_costs"]
