"""The commands that answer questions; each reads the book, asks, and hands the answer over."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

import typer

from costlearn.cli import figures
from costlearn.cli import options as opt
from costlearn.errors import InputProblem, Place

if TYPE_CHECKING:
    from costlearn.questions.estimate import Limits
    from costlearn.records import History


def estimate(
    scope: opt.ScopeFile = None,
    area: opt.Area = None,
    kind: opt.Kind = None,
    items: opt.Items = None,
    grade: opt.Grade = None,
    house_year: opt.HouseYear = None,
    crew: opt.CrewSize = None,
    under: Annotated[
        str | None, typer.Option(help="With --within: a direct cost it should stay under.")
    ] = None,
    within: Annotated[
        str | None, typer.Option(help="With --under: working days it should stay within.")
    ] = None,
    job_name: opt.JobName = None,
    on: opt.OnDate = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
    html: opt.HtmlPath = None,
) -> None:
    """Say what a scope will cost and how long it will take, with honest ranges."""
    from costlearn.questions.estimate import estimate as ask

    history = opt.history_of(book)
    stated = opt.Stated(area, kind, items, grade, house_year, crew)
    day = opt.day_of(on)
    job = opt.asked_job(history, scope, stated, day, job=job_name, book=book)
    limits = _limits(under, within, history.firm.currency)
    opt.deliver(ask(history, job, limits=limits), as_json, html)


def _limits(under: str | None, within: str | None, currency: str) -> Limits | None:
    """Both limits, or none.

    Raises:
        InputProblem: one without the other, or no number above zero.
    """
    from costlearn.questions.estimate import Limits

    if under is None and within is None:
        return None
    if under is None or within is None:
        given, other = ("--within", "--under") if under is None else ("--under", "--within")
        raise InputProblem(f"{given} is given without {other}", expected="both or neither")
    return Limits(figures.amount("--under", under, currency), figures.number("--within", within))


def check(
    quote: opt.ScopeFile = None,
    price: Annotated[str | None, typer.Option(help="Quoted price, such as 28,900.")] = None,
    cost: Annotated[str | None, typer.Option(help="Planned direct cost.")] = None,
    person_days: Annotated[str | None, typer.Option(help="Planned person-days.")] = None,
    site_days: Annotated[str | None, typer.Option(help="Planned days on site.")] = None,
    elapsed_days: Annotated[
        str | None, typer.Option(help="Planned working days from first to last.")
    ] = None,
    margin: Annotated[
        str | None, typer.Option(help="Wanted margin, a share of the price such as 0.27.")
    ] = None,
    deposit_cap: Annotated[
        str | None,
        typer.Option(help='The most a deposit may be: "10%", or the lesser of "10% or 1000".'),
    ] = None,
    holdback: Annotated[
        str | None, typer.Option(help='Share of the price kept back until the end, such as "10%".')
    ] = None,
    area: opt.Area = None,
    kind: opt.Kind = None,
    items: opt.Items = None,
    grade: opt.Grade = None,
    house_year: opt.HouseYear = None,
    crew: opt.CrewSize = None,
    job_name: opt.JobName = None,
    on: opt.OnDate = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
    html: opt.HtmlPath = None,
) -> None:
    """Check a quote against your own history. Exit code 1 says: look at it again."""
    from costlearn.questions.quoting.quote import check as ask

    history = _with_terms(opt.history_of(book), deposit_cap, holdback)
    stated = opt.Stated(
        area, kind, items, grade, house_year, crew, price, cost, person_days, site_days,
        elapsed_days,
    )  # fmt: skip
    job = opt.asked_job(history, quote, stated, opt.day_of(on), job=job_name, book=book)
    wanted = None if margin is None else figures.share("--margin", margin)
    opt.deliver(ask(history, job, margin=wanted), as_json, html)


def _with_terms(history: History, deposit_cap: str | None, holdback: str | None) -> History:
    """The history with terms of payment in the place of those in the firm's settings.

    Raises:
        InputProblem: the cap is none, or the holdback no share.
    """
    from costlearn.deposits import checked_cap

    firm = history.firm
    if deposit_cap is not None:
        firm = replace(firm, deposit_cap=checked_cap(deposit_cap, Place("--deposit-cap")))
    if holdback is not None:
        firm = replace(firm, holdback=figures.share("--holdback", holdback))
    return replace(history, firm=firm)


def overruns(
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
    html: opt.HtmlPath = None,
) -> None:
    """Say which phases overran, by how much, and whether it is signal or luck."""
    from costlearn.questions.overrun.overruns import overruns as ask

    with opt.open_book(book) as kept:
        answer = ask(kept.history(), kept.entries())
    opt.deliver(answer, as_json, html)


def backtest(
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
    html: opt.HtmlPath = None,
) -> None:
    """Say how far the estimates can be trusted, tried on your own past jobs."""
    from costlearn.questions.trust import backtest as ask

    opt.deliver(ask(opt.history_of(book)), as_json, html)


def crew(
    scope: opt.ScopeFile = None,
    area: opt.Area = None,
    kind: opt.Kind = None,
    items: opt.Items = None,
    backlog: Annotated[
        str | None, typer.Option(help="How many jobs a year you could sell: 14, or 10-16.")
    ] = None,
    contribution: Annotated[
        str | None,
        typer.Option(
            help="What an average job leaves after materials, subs and other bought cost, if not "
            "as in your settings."
        ),
    ] = None,
    free_day: Annotated[
        str, typer.Option(help="What a gained day is worth to you if it is not sold.")
    ] = "0",
    paid_waiting: Annotated[
        bool, typer.Option("--paid-waiting", help="The helper is paid on wait days too.")
    ] = False,
    belief: Annotated[
        str | None,
        typer.Option(help="What you believe: days with two over days alone, such as 0.6-0.85."),
    ] = None,
    job_name: opt.JobName = None,
    on: opt.OnDate = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
    html: opt.HtmlPath = None,
) -> None:
    """Say whether a second crew member pays off: on a job, by phase, over a year."""
    from costlearn.questions.crewing.crew import crew as ask
    from costlearn.questions.crewing.year import YearTerms

    history = opt.history_of(book)
    day = opt.day_of(on)
    stated = opt.Stated(area, kind, items)
    job = None
    if scope or stated.said:
        job = opt.asked_job(history, scope, stated, day, job=job_name, book=book)
    money = history.firm.currency
    low, high = (None, None) if backlog is None else figures.span("--backlog", backlog, "10-16")
    terms = YearTerms(
        low,
        None if contribution is None else figures.amount("--contribution", contribution, money),
        figures.amount("--free-day", free_day, money, zero=True),
        paid_waiting,
        high,
    )
    believed = None if belief is None else figures.belief(belief)
    opt.deliver(ask(history, job, terms, on=day, belief=believed), as_json, html)
