"""The command about two versions of one scope: ``compare``."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from costlearn.cli import figures
from costlearn.cli import options as opt
from costlearn.errors import InputProblem, Place

if TYPE_CHECKING:
    from costlearn.intake.answers import Answers
    from costlearn.records import History, Job


def compare(
    first: Annotated[Path, typer.Argument(help="A file with the scope, or a filled-in sheet.")],
    second: Annotated[
        Path | None, typer.Argument(help="A second file, with the other version of the scope.")
    ] = None,
    more: Annotated[
        str | None,
        typer.Option("--with", help='What the second version has on top: "heated floor 30".'),
    ] = None,
    less: Annotated[
        str | None, typer.Option("--without", help='What the second version leaves out: "niche".')
    ] = None,
    jobs: Annotated[
        list[str] | None,
        typer.Option("--job", help="Which job of a sheet; twice: two jobs of one sheet."),
    ] = None,
    margin: Annotated[
        str | None, typer.Option(help="Wanted margin, a share of the price such as 0.27.")
    ] = None,
    on: opt.OnDate = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
    html: opt.HtmlPath = None,
) -> None:
    """Say what one version of a scope costs and takes more than another, with its odds."""
    from costlearn.questions.quoting.versions import compare as ask

    if second is None and jobs and len(jobs) > 1:
        second = first
    _two_versions(second, more, less)
    names = _names(jobs or [], first, second)
    history = opt.history_of(book)
    day = opt.day_of(on)
    one = opt.asked_job(history, first, opt.Stated(), day, job=names[0], book=book)
    if second is not None:
        other = opt.asked_job(history, second, opt.Stated(), day, job=names[1], book=book)
    else:
        other = changed(history, one, more or "", less or "", opt.answers_in(book))
    wanted = None if margin is None else figures.share("--margin", margin)
    opt.deliver(ask(history, one, other, margin=wanted), as_json, html)


def _two_versions(second: Path | None, more: str | None, less: str | None) -> None:
    """Refuse what names one version, or three.

    Raises:
        InputProblem: neither a second file nor a change is given, or both are.
    """
    if second is not None and (more or less):
        raise InputProblem(
            f"{'--with' if more else '--without'} is given beside a second file",
            expected="either a second file, or --with and --without",
        )
    if second is None and not more and not less:
        raise InputProblem(
            "there is only one version",
            expected="a second file, or what changes: --with 'heated floor 30' --without 'niche'",
        )


def _names(jobs: list[str], first: Path, second: Path | None) -> tuple[str | None, str | None]:
    """Which job to take from each file: one name holds for every sheet, two for one file each.

    Raises:
        InputProblem: more than two names.
    """
    from costlearn.intake.sheet_names import is_sheet

    if len(jobs) > 2:
        raise InputProblem(f"--job is given {len(jobs)} times", expected="once or twice")
    if len(jobs) == 2:
        return jobs[0], jobs[1]
    if not jobs:
        return None, None
    if second is None or not is_sheet(second):
        return jobs[0], None
    return jobs[0] if is_sheet(first) else None, jobs[0]


def changed(history: History, job: Job, more: str, less: str, told: Answers | None = None) -> Job:
    """A job with some items on top and some left out, in words of the trade or as ``told``.

    Raises:
        InputProblem: an item that is there already, or is not there to be left out.
    """
    from costlearn.questions.wording import say_list
    from costlearn.vocabulary import standard

    words = standard()
    added = _items(history, more, "--with", told)
    gone = _items(history, less, "--without", told)
    scope = dict(job.scope)
    for key, size in added.items():
        name = words.item(key).name
        if key in gone:
            raise InputProblem(f"{name} is both added and left out", place=Place("--with"))
        if scope.get(key) and size in (scope[key], 1.0):
            raise InputProblem(
                f"the scope has {name} already",
                place=Place("--with"),
                expected="an item it has not, or another size of one it has",
            )
        scope[key] = size
    for key in gone:
        if not scope.get(key):
            has = say_list([words.item(k).name for k, v in scope.items() if v], "or")
            raise InputProblem(
                f"the scope has no {words.item(key).name}",
                place=Place("--without"),
                expected=f"one of its items: {has}" if has else "a scope with items",
            )
        scope[key] = 0.0
    said = [f"with {say_list([words.item(k).name for k in added])}"] if added else []
    said += [f"without {say_list([words.item(k).name for k in gone])}"] if gone else []
    return replace(job, name=f"{job.name} {' and '.join(said)}", scope=scope)


def _items(history: History, text: str, flag: str, told: Answers | None) -> dict[str, float]:
    """The scope items that words name, with their sizes.

    Raises:
        InputProblem: a word nobody knows, or no item at all.
    """
    from costlearn.intake.asked import job_from
    from costlearn.vocabulary import standard

    if not text:
        return {}
    firm = history.firm
    words = standard().with_phases(firm.phase_words)
    words = words if told is None else told.extend(words)
    try:
        said = job_from({"items": text}, {}, (), firm, words)
    except InputProblem as problem:
        raise InputProblem(
            problem.found, place=Place(flag), expected=problem.expected, hint=problem.hint
        ) from None
    if said.notes:
        typer.echo(f"costlearn: {said.notes}.", err=True)
    found = {k: float(v) for k, v in said.scope.items() if v}
    if not found:
        raise InputProblem(
            f"found '{text}'", place=Place(flag), expected="an item such as 'heated floor 30'"
        )
    return found
