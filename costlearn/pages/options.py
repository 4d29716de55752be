"""The sheet of option prices: one page to print and lay on the table."""

from __future__ import annotations

from costlearn.pages.asked import particulars, subject
from costlearn.pages.shell import Sheet
from costlearn.questions.options import Options

QUESTION = "What does each option add?"


def sheet(answer: Options) -> Sheet:
    """What the page shows around the answer: the tables are the picture, so that it is one page."""
    grounds = answer.grounds
    return Sheet(
        QUESTION,
        subject(answer.base, grounds.area_unit),
        particulars(answer.base, grounds.area_unit, grounds.currency, answer.asked_on),
        dense=True,
    )
