"""The commands that show what is kept: jobs, settings, words."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from costlearn.cli import completion
from costlearn.cli import options as opt
from costlearn.errors import InputProblem
from costlearn.units import say_count

if TYPE_CHECKING:
    from costlearn.records import History, Job


def jobs(
    name: Annotated[
        str | None, typer.Argument(help="One job, whole.", autocompletion=completion.jobs)
    ] = None,
    look: Annotated[
        bool, typer.Option("--look", help="List what looks like a slip and is worth a look.")
    ] = False,
    copy_to: Annotated[
        Path | None,
        typer.Option(
            "--export", help="Write all that is on file to this folder (.csv) or workbook (.xlsx)."
        ),
    ] = None,
    saved: Annotated[
        Path | None,
        typer.Option("--rescue", help="Save what a damaged book still holds into this new book."),
    ] = None,
    replace: opt.Replace = False,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
    html: opt.HtmlPath = None,
) -> None:
    """Show what is on file; with a job's name all of it, and where each figure came from."""
    from costlearn.cli import copies, listing, looking, rescuing, screen

    if saved is not None:
        rescuing.say_rescue(book, saved, as_json=as_json)
        return
    if copy_to is not None:
        copies.say_copy(book, copy_to, replace=replace, as_json=as_json)
        return
    if look:
        looking.look(book, as_json=as_json)
        return
    if name is None and not as_json:
        _needs_job(html)
        _show_all(book)
        return
    history = opt.history_of(book)
    if name is None:
        _needs_job(html)
        screen.print_json([listing.plain(j) for j in history.jobs])
        return
    job = _named(history, name)
    if as_json:
        screen.print_json(listing.plain(job))
    if html is not None or not as_json:
        _show_job(history, job, as_json, html)


def _show_all(book: Path) -> None:
    """All jobs, a line each, and what the finished ones lack."""
    from costlearn.cli import lacking, listing, screen, waiting

    with opt.open_book(book) as kept:
        history, asked = kept.history(), waiting.all_questions(kept)
        lines = lacking.lacking(kept, history, asked)
    screen.show_table(listing.table(history, screen.width()))
    say_on_file(history)
    for line in lines:
        screen.say(f"  {line}", 4)


def _needs_job(html: Path | None) -> None:
    """Refuse a page of no job."""
    if html is not None:
        raise InputProblem("--html is given, but no job", expected="a job's name")


def _show_job(history: History, job: Job, as_json: bool, html: Path | None) -> None:
    """One job on the screen, and on a page if asked: two forms of one answer."""
    from costlearn.cli import screen
    from costlearn.questions.onfile.job import job_on_file

    answer = job_on_file(history, job)
    if not as_json:
        screen.show_answer(answer)
    if html is not None:
        from costlearn.pages.write import write_page

        write_page(answer, html)
        if not as_json:
            screen.made(html)


def settings(
    file: Annotated[Path | None, typer.Argument(help="A TOML file with a [firm] part.")] = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
) -> None:
    """Show what the book knows about your firm, or set it from a file."""
    from costlearn.cli import listing, screen, sources
    from costlearn.intake.settings import read_settings

    with opt.open_book(book, create=file is not None) as kept:
        if file is not None:
            sources.set_firm(kept, read_settings(file, kept.firm()))
        firm = kept.firm()
    if as_json:
        screen.print_json(listing.firm_values(firm))
        return
    screen.show_table(listing.firm_table(firm))


def words(
    of_map: Annotated[
        bool, typer.Option("--map", help="Show all a column map may say, each with an example.")
    ] = False,
    as_json: opt.AsJson = False,
) -> None:
    """Show the phases and scope items costlearn knows, and the columns a map may name."""
    from costlearn.cli import listing, screen

    if as_json:
        screen.print_json(listing.map_values() if of_map else listing.word_values())
        return
    for table in (listing.map_table(),) if of_map else listing.word_tables():
        screen.show_table(table)


def on_file(history: History) -> str:
    """One sentence: what the book holds now."""
    from costlearn.assembly import waiting_costs

    usable = history.usable
    phased = sum(bool(j.phases) for j in usable)
    crewed = sum(j.actual.crew is not None for j in usable)
    costed = sum(j.actual.total is not None for j in usable)
    return (
        f"On file: {say_count(len(usable), 'finished job')} ({costed} with their cost, "
        f"{phased} with phases, {crewed} with crew size), {running_of(history)}, "
        f"{len(history.open_books)} with books still open, "
        f"{say_count(len(waiting_costs(history)), 'cost line')} waiting for a job."
    )


def say_on_file(history: History) -> None:
    """What the book holds now, and how cost lines that wait get their job."""
    from costlearn.assembly import waiting_costs
    from costlearn.cli import screen, waiting

    screen.say(on_file(history))
    loose = len(waiting_costs(history))
    if loose:
        screen.say(waiting.say_waiting(loose))


def running_of(history: History) -> str:
    """How many jobs run, and of how many nobody said whether they are finished."""
    from costlearn.assembly import finish_unknown

    unsaid = sum(map(finish_unknown, history.running))
    text = f"{len(history.running) - unsaid} running"
    return f"{text}, {unsaid} not known whether finished" if unsaid else text


def _named(history: History, name: str) -> Job:
    job = history.job(name)
    if job is not None:
        return job
    near = _close(name, [j.name for j in history.jobs])
    listed = "a job such as " + ", ".join(f"'{n}'" for n in near)
    raise InputProblem(
        f"no one job '{name}' is on file",
        expected=listed if near else "a job that was imported",
        hint="see them all with 'costlearn jobs'",
    )


def _close(name: str, names: Sequence[str]) -> list[str]:
    from difflib import get_close_matches

    starts = [n for n in names if n.casefold().startswith(name.casefold())]
    return list(dict.fromkeys(starts + get_close_matches(name, names, n=3, cutoff=0.3)))[:3]
