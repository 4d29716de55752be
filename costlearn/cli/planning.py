"""The command that lays a job on the calendar: ``calendar``."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from costlearn.cli import completion, figures
from costlearn.cli import options as opt
from costlearn.errors import InputProblem, Place

if TYPE_CHECKING:
    from costlearn.firm import Firm
    from costlearn.questions.planning.answer import SiteCalendar
    from costlearn.records import History, Job

Helper = Annotated[
    str | None, typer.Option(help="Phases with a second person, such as 'tile, demo'; or 'all'.")
]
Holidays = Annotated[
    str | None, typer.Option(help="More days off: '2026-12-25, 2026-12-28..2027-01-01'.")
]
IcsPath = Annotated[Path | None, typer.Option(help="Write the likely plan as an iCalendar file.")]


def calendar(
    scope: opt.ScopeFile = None,
    start: Annotated[
        str | None, typer.Option(help="First day on site (2027-01-11); for a running job optional.")
    ] = None,
    job: Annotated[
        str | None,
        typer.Option(
            help="A quoted or running job on file.", autocompletion=completion.running_jobs
        ),
    ] = None,
    helper: Helper = None,
    holidays: Holidays = None,
    promised: Annotated[
        str | None, typer.Option(help="The day it is promised for (2027-02-19).")
    ] = None,
    belief: Annotated[
        str | None,
        typer.Option(help="What you believe: days with two over days alone, such as 0.6-0.85."),
    ] = None,
    area: opt.Area = None,
    kind: opt.Kind = None,
    items: opt.Items = None,
    grade: opt.Grade = None,
    house_year: opt.HouseYear = None,
    crew: opt.CrewSize = None,
    ics: IcsPath = None,
    on: opt.OnDate = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
    html: opt.HtmlPath = None,
) -> None:
    """Lay a job on the calendar: phases, waits, hold points, and when it is done."""
    from costlearn.questions.planning.calendar import site_calendar

    history = opt.history_of(book)
    stated = opt.Stated(area, kind, items, grade, house_year, crew)
    asked = _asked(history, job, scope, stated, on, book)
    answer = site_calendar(
        history,
        asked,
        _start(asked, start),
        helper=None if helper is None else helped(helper, history.firm),
        holidays=() if holidays is None else _days_off(holidays),
        promised=None if promised is None else figures.day("--promised", promised),
        belief=None if belief is None else figures.belief(belief),
    )
    written = ics is not None and _write(answer, ics)
    opt.deliver(answer, as_json, html)
    if ics is not None and written and not as_json:
        from costlearn.cli import screen

        screen.made(ics)


def _write(answer: SiteCalendar, ics: Path) -> bool:
    """Write the plan's file, if there is a plan; a calendar without events would be none."""
    from costlearn.pages.ics import ics_text
    from costlearn.pages.write import write_file

    if not answer.known:
        typer.echo(f"costlearn: there is no plan to write, so {ics} is not written.", err=True)
        return False
    write_file(ics_text(answer), ics, what="calendar file")
    return True


def _asked(
    history: History,
    name: str | None,
    scope: Path | None,
    stated: opt.Stated,
    on: str | None,
    book: Path,
) -> Job:
    """The job on file of a name, else the one that a file or options say.

    Raises:
        InputProblem: both are given, or no job still to be done has that name.
    """
    if name is None:
        return opt.asked_job(history, scope, stated, opt.day_of(on), book=book)
    if scope is not None or stated.said:
        raise InputProblem("--job is given beside a scope", expected="one of the two")
    found = history.job(name)
    open_jobs = [j.name for j in history.jobs if j.state != "finished"]
    known = "one of: " + "; ".join(open_jobs) if open_jobs else "a quoted or running job on file"
    if found is None:
        raise InputProblem(f"there is no job '{name}'", expected=known)
    if found.state == "finished":
        raise InputProblem(f"job '{found.name}' is finished", expected=known)
    return found


def _start(job: Job, start: str | None) -> date | None:
    if start is not None:
        return figures.day("--start", start)
    if job.state == "running":
        return None
    raise InputProblem(
        "nothing says when the work starts", expected="a day such as --start 2027-01-11"
    )


def helped(text: str, firm: Firm) -> tuple[str, ...]:
    """The phases a helper works in, from words such as "tile, demo"; ("all",) for every one.

    Raises:
        InputProblem: a word is no phase, or none is said.
    """
    from costlearn.questions.planning.words import EVERY
    from costlearn.vocabulary import standard

    said = [part.strip() for part in text.replace(";", ",").split(",") if part.strip()]
    if not said:
        raise InputProblem(
            "nothing is said", place=Place("--helper"), expected="phases, or the word 'all'"
        )
    if EVERY in said:
        return (EVERY,)
    words = standard().with_phases(firm.phase_words)
    return tuple(part if part in words.phase_order else words.find_phase(part) for part in said)


def _days_off(text: str) -> tuple[date, ...]:
    from costlearn.workdays import days_off, read_holidays

    said = [part.strip() for part in text.replace(";", ",").split(",") if part.strip()]
    return days_off(read_holidays(said, Place("--holidays")))
