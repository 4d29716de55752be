"""An answer as one page, and its way to a file."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from costlearn.disk import is_device
from costlearn.errors import InputProblem, Place
from costlearn.pages import (
    calendar,
    compare,
    crew,
    earnings,
    estimate,
    job,
    midjob,
    options,
    overruns,
    quote,
    trust,
)
from costlearn.pages.index import Card, index_html
from costlearn.pages.methods import method_of
from costlearn.pages.shell import SCRIPT, Sheet, render, shared_script
from costlearn.questions.answer import Answer
from costlearn.questions.crewing.crew import Crew
from costlearn.questions.earning.earnings import Earnings
from costlearn.questions.estimate import Estimate
from costlearn.questions.onfile.job import JobOnFile
from costlearn.questions.options import Options
from costlearn.questions.overrun.overruns import Overruns
from costlearn.questions.planning.answer import SiteCalendar
from costlearn.questions.quoting.quote import QuoteCheck
from costlearn.questions.quoting.versions import Versions
from costlearn.questions.running.midjob import Forecast
from costlearn.questions.running.trust import MidjobTrust
from costlearn.questions.trust import Trust

__all__ = [
    "SCRIPT",
    "Card",
    "index_html",
    "page_html",
    "shared_script",
    "write_file",
    "write_page",
]

SHEETS: tuple[tuple[type[Answer], Callable[[Any], Sheet]], ...] = (
    (Estimate, estimate.sheet),
    (QuoteCheck, quote.sheet),
    (Versions, compare.sheet),
    (Overruns, overruns.sheet),
    (Crew, crew.sheet),
    (Earnings, earnings.sheet),
    (Trust, trust.sheet),
    (Forecast, midjob.sheet),
    (MidjobTrust, midjob.trust_sheet),
    (Options, options.sheet),
    (SiteCalendar, calendar.sheet),
    (JobOnFile, job.sheet),
)
"""Each kind of answer with what makes its page."""


def page_html(
    answer: Answer,
    *,
    title: str | None = None,
    script: str = "",
    home: str = "",
    links: Mapping[str, str] | None = None,
) -> str:
    """An answer as one HTML page that needs no network.

    Args:
        answer: any answer; one that is not known gives a page without pictures.
        title: the name of the page; default its question, with the job asked about.
        script: for a page of a set, where the set's script (``shared_script``) stands, seen from
            the page; default in the page, which then is one file that can be mailed.
        home: for a page of a set, where its first page stands.
        links: for a page of a set, where the pages of jobs stand, by the jobs' names.
    """
    sheet = sheet_of(answer) or Sheet(title or "An answer from your own records")
    named = " - ".join(p for p in (sheet.question, sheet.subject.split(", ", 1)[0]) if p)
    if not sheet.method:
        sheet = replace(sheet, method=method_of(answer))
    return render(answer, sheet, title or named, script=script, home=home, links=links)


def write_page(answer: Answer, path: Path) -> Path:
    """Write the page of an answer; the file is whole or not there at all. Returns the path.

    Raises:
        InputProblem: the file cannot be written there.
    """
    return write_file(page_html(answer), path)


def write_file(text: str, path: Path, *, what: str = "page") -> Path:
    """Write a text in one step, its folder made if need be; returns the path.

    ``what`` names it where it cannot be written.

    Raises:
        InputProblem: the file cannot be written there.
    """
    try:
        _refuse_device(path, what)
        path.parent.mkdir(parents=True, exist_ok=True)
        _replace(text, path)
    except OSError as error:
        raise _unwritable(what, path, (error.strerror or str(error)).lower()) from error
    return path


def _refuse_device(path: Path, what: str) -> None:
    if is_device(path):
        raise _unwritable(what, path, "it is a device or a pipe, no plain file")


def _unwritable(what: str, path: Path, why: str) -> InputProblem:
    return InputProblem(
        f"the {what} cannot be written: {why}",
        place=Place(str(path)),
        hint="name a folder you may write to",
    )


def sheet_of(answer: Answer) -> Sheet | None:
    """What stands around an answer on its page; None for one that brings tables only."""
    for kind, sheet in SHEETS:
        if isinstance(answer, kind):
            return sheet(answer)
    return None


def _replace(text: str, path: Path) -> None:
    """Write beside the file, then take its place, so that no reader ever sees half a page."""
    handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", dir=path.parent)
    beside = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        beside.chmod(0o644)
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
