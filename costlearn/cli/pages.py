"""The command that writes a firm's whole set of pages: ``pages``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from costlearn.cli import figures
from costlearn.cli import options as opt
from costlearn.units import say_count

if TYPE_CHECKING:
    from costlearn.pages.report import Named
    from costlearn.questions.answer import Answer
    from costlearn.questions.crewing.year import YearTerms
    from costlearn.questions.onfile.overview import Overview
    from costlearn.records import Entry, History, Job

FIRM_ANSWERS = 6
"""How many answers speak of the firm as a whole, for the bar to know how many are to come."""


def pages(
    asked: Annotated[
        list[Path] | None, typer.Argument(help="Scopes and quotes that get a page too, if any.")
    ] = None,
    to: Annotated[Path, typer.Option("--to", help="Folder for the pages.")] = Path("reports"),
    backlog: Annotated[
        str | None, typer.Option(help="How many jobs a year you could sell: 14, or 10-16.")
    ] = None,
    on: opt.OnDate = None,
    single_file: opt.SingleFile = False,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
) -> None:
    """Write all pages of your book into a folder: first page, answers, one for each job.

    All come or none: where one cannot be made, the pages of before stay as they were.
    """
    from costlearn.cli import pace, screen, waiting
    from costlearn.pages.bundle import write_set
    from costlearn.pages.report import report_files

    with opt.open_book(book) as kept:
        history, entries = kept.history(), tuple(kept.entries())
        waits = waiting.waiting_data(waiting.all_questions(kept))["questions"]
    day = opt.day_of(on)
    jobs = [
        (path, opt.asked_job(history, path, opt.Stated(), day, book=book)) for path in asked or ()
    ]
    terms = None if backlog is None else _terms(backlog)
    made = chain(
        asked_answers(history, jobs),
        running_answers(history, day),
        firm_answers(history, entries, terms, day),
    )
    before = len(jobs) + len(history.running)
    with pace.bar("Pages") as watch:
        answering = pace.scaled(watch, 0.0, pace.ANSWERING)
        named = list(pace.counted(made, before + FIRM_ANSWERS, "answers", answering))
        firm = [n.answer for n in named[before:]]
        state = state_of(history, entries, firm, waits)
        making = pace.scaled(watch, pace.ANSWERING, 1.0)
        files = report_files(history, named, state, single_file=single_file, watch=making)
        index = write_set(files, to)
    if as_json:
        told = [{"page": n.file, "sentence": n.answer.sentence} for n in named]
        screen.print_json({"sentence": state.sentence, "written": [str(index)], "answers": told})
        return
    screen.say(state.sentence)
    counts = f"{say_count(len(named), 'answer')}, {say_count(len(history.jobs), 'job')}"
    screen.say(f"Pages: {index} ({counts}). Open it in a browser.")


def asked_answers(history: History, jobs: Sequence[tuple[Path, Job]]) -> Iterator[Named]:
    """A check for each quote, an estimate for each scope without a price or a plan."""
    from costlearn.pages.naming import page_of
    from costlearn.pages.report import Named
    from costlearn.questions.estimate import estimate
    from costlearn.questions.quoting.quote import check

    names = [path.name for path, _ in jobs]
    for number, (path, job) in enumerate(jobs):
        # Two files of one name in two folders are two pages.
        again = names[:number].count(path.name)
        name = f"{path.name} {again + 1}" if again else path.name
        if job.price is not None or job.plan.total is not None:
            yield Named(page_of("check", name), f"Quote {job.name}", check(history, job))
        else:
            page = page_of("estimate", name)
            yield Named(page, f"Estimate {job.name}", estimate(history, job))


def running_answers(history: History, day: date | None) -> Iterator[Named]:
    """Where each running job will end."""
    from costlearn.pages.naming import page_of
    from costlearn.pages.report import Named
    from costlearn.questions.running.midjob import forecast

    for job in history.running:
        page = page_of("running", job.name)
        yield Named(page, f"Running job {job.name}", forecast(history, job, on=day))


def firm_answers(
    history: History, entries: Sequence[Entry], terms: YearTerms | None, day: date | None
) -> Iterator[Named]:
    """What the book says of the firm as a whole."""
    from costlearn.pages.report import Named
    from costlearn.questions.crewing.crew import crew
    from costlearn.questions.earning.earnings import earnings
    from costlearn.questions.options import option_prices
    from costlearn.questions.overrun.overruns import overruns
    from costlearn.questions.running.trust import after_each_phase
    from costlearn.questions.trust import backtest

    yield Named("earnings.html", "What earns most", earnings(history, entries, on=day))
    yield Named("overruns.html", "Overruns", overruns(history, entries))
    yield Named("crew.html", "A second person", crew(history, None, terms, on=day))
    yield Named("options.html", "What options add", option_prices(history, on=day))
    yield Named("accuracy.html", "How far to trust this", backtest(history))
    page = "accuracy-running.html"
    yield Named(page, "How far to trust running jobs", after_each_phase(history))


def state_of(
    history: History, entries: Sequence[Entry], told: Sequence[Answer], waits: int
) -> Overview:
    """How the firm stands, from answers already made."""
    from costlearn.questions.attention import attention
    from costlearn.questions.onfile.overview import overview

    found = attention(history, entries)
    return overview(history, told, look=len(found.found), waiting=waits)


def _terms(backlog: str) -> YearTerms:
    from costlearn.questions.crewing.year import YearTerms

    low, high = figures.span("--backlog", backlog, "10-16")
    return YearTerms(low, backlog_high=high)
