"""The commands about jobs under way and options on offer: ``forecast`` and ``options``."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated

import typer

from costlearn.cli import completion, figures
from costlearn.cli import options as opt
from costlearn.errors import InputProblem, Place
from costlearn.vocabulary import standard

if TYPE_CHECKING:
    from costlearn.firm import Firm
    from costlearn.records import History, Job

LEFT_EXPECTED = "phases with what is left of them, such as 'tile 12 h; paint 1.5 d'"
_LEFT = re.compile(
    r"(?P<phase>.*?\D)\s+(?P<size>\d[\d.,]*)\s*(?P<unit>h|hours?|d|days?|person-days?)", re.I
)


def forecast(
    job: Annotated[
        str | None,
        typer.Argument(
            help="A running job; without one: the backtest, and a list.",
            autocompletion=completion.running_jobs,
        ),
    ] = None,
    promised: Annotated[
        str | None, typer.Option(help="The day it was promised for (2026-11-20).")
    ] = None,
    margin: Annotated[
        str | None, typer.Option(help="Wanted margin, a share of the price such as 0.27.")
    ] = None,
    left: Annotated[
        str | None, typer.Option(help='Work left by phase, such as "tile 12 h; paint 1.5 d".')
    ] = None,
    on: Annotated[
        str | None, typer.Option("--on", help="Day to count from; default the last day on file.")
    ] = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
    html: opt.HtmlPath = None,
) -> None:
    """Say where a running job will end: cost, days, finish date, odds, phase to watch."""
    from costlearn.questions.running.midjob import forecast as ask
    from costlearn.questions.running.trust import after_each_phase

    history = opt.history_of(book)
    if job is None:
        _needs_job(
            history, {"--promised": promised, "--margin": margin, "--left": left, "--on": on}
        )
        opt.deliver(after_each_phase(history), as_json, html)
        return
    answer = ask(
        history,
        running_job(history, job),
        on=opt.day_of(on),
        promised=None if promised is None else figures.day("--promised", promised),
        margin=None if margin is None else figures.share("--margin", margin),
        left=None if left is None else work_left(left, history.firm),
    )
    opt.deliver(answer, as_json, html)


def _needs_job(history: History, given: Mapping[str, str | None]) -> None:
    """Refuse what says something of a job where no job is named."""
    for flag, said in given.items():
        if said is not None:
            raise InputProblem(f"{flag} is given, but no job", expected=running_names(history))


def running_names(history: History) -> str:
    """The running jobs on file, as what was expected."""
    names = [j.name for j in history.running]
    return "one of the running jobs: " + "; ".join(names) if names else "a running job on file"


def running_job(history: History, name: str) -> Job:
    """The running job of a name, or of the only one that starts so.

    Raises:
        InputProblem: no job of that name, or one that is not running.
    """
    found = history.job(name)
    if found is None:
        raise InputProblem(f"there is no job '{name}'", expected=running_names(history))
    if found.state != "running":
        raise InputProblem(
            f"job '{found.name}' is {found.state}, not running", expected=running_names(history)
        )
    return found


def work_left(text: str, firm: Firm) -> dict[str, float]:
    """Person-days left by phase key, from words such as "tile 12 h; paint 1.5 d".

    Raises:
        InputProblem: a part is no phase with hours or days.
    """
    words = standard().with_phases(firm.phase_words)
    found: dict[str, float] = {}
    for part in (p.strip() for p in text.split(";")):
        if not part:
            continue
        match = _LEFT.fullmatch(part)
        if match is None:
            raise InputProblem(f"found '{part}'", place=Place("--left"), expected=LEFT_EXPECTED)
        size = 0.0 if _is_zero(match["size"]) else figures.number("--left", match["size"])
        hours = match["unit"].lower().startswith("h")
        phase = words.find_phase(match["phase"].strip())
        found[phase] = found.get(phase, 0.0) + (size / firm.hours_per_day if hours else size)
    if not found:
        raise InputProblem("nothing is said", place=Place("--left"), expected=LEFT_EXPECTED)
    return found


def _is_zero(text: str) -> bool:
    """True for a zero, which says that a phase is finished."""
    return not text.strip("0.,")


def options(
    scope: opt.ScopeFile = None,
    area: opt.Area = None,
    kind: opt.Kind = None,
    items: opt.Items = None,
    grade: opt.Grade = None,
    house_year: opt.HouseYear = None,
    crew: opt.CrewSize = None,
    margin: Annotated[
        str | None, typer.Option(help="Wanted margin for the price column, such as 0.27.")
    ] = None,
    job_name: opt.JobName = None,
    on: opt.OnDate = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
    html: opt.HtmlPath = None,
) -> None:
    """Say what each option adds in cost and days: to a scope, or to the middle job of a kind."""
    from costlearn.questions.options import option_prices

    history = opt.history_of(book)
    day = opt.day_of(on)
    stated = opt.Stated(area, kind, items, grade, house_year, crew)
    own = scope is not None or set(stated.said) - {"kind"}
    base = opt.asked_job(history, scope, stated, day, job=job_name, book=book) if own else None
    wanted_kind = opt.asked_job(history, None, stated, day).kind if kind and not own else None
    wanted = None if margin is None else figures.share("--margin", margin)
    answer = option_prices(history, base, kind=wanted_kind, on=day, margin=wanted)
    opt.deliver(answer, as_json, html)
