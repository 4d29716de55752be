"""The page of one job on file: every figure with its source."""

from __future__ import annotations

from costlearn.pages.asked import subject
from costlearn.pages.shell import Sheet
from costlearn.questions.onfile.job import JobOnFile

QUESTION = "What is on file of this job?"


def sheet(answer: JobOnFile) -> Sheet:
    """What the page shows around the answer: the tables say it all."""
    return Sheet(QUESTION, subject(answer.job, answer.grounds.area_unit))
