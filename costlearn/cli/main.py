"""The command line: ``costlearn COMMAND``; exit code 0 answered, 1 do not trust, 2 bad input."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable, Sequence
from typing import Annotated

import typer
from typer.exceptions import TyperException

from costlearn.cli import (
    adding,
    answering,
    comparing,
    copies,
    daysheet,
    demo,
    earning,
    importing,
    keep,
    pages,
    planning,
    pocket,
    questions,
    running,
    streams,
    waiting,
)
from costlearn.cli.examples import below_help
from costlearn.errors import CostlearnError, InputProblem, Place

BAD_INPUT = 2
ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
"""Fits are small: threads of the linear algebra only wait for one another (three times slower)."""

app = typer.Typer(
    name="costlearn",
    help="Learns cost, days and overruns from your own finished jobs. A second opinion, never "
    "engineering, legal or tax advice.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    context_settings={"help_option_names": ["--help", "-h"]},
)
COMMANDS: dict[str, Callable[..., None]] = {
    "import": importing.import_files,
    "add": adding.add,
    "jobs": keep.jobs,
    "questions": waiting.questions,
    "answer": answering.answer,
    "template": copies.template,
    "daysheet": daysheet.daysheet,
    "settings": keep.settings,
    "words": keep.words,
    "estimate": questions.estimate,
    "check": questions.check,
    "compare": comparing.compare,
    "overruns": questions.overruns,
    "crew": questions.crew,
    "earnings": earning.earnings,
    "forecast": running.forecast,
    "options": running.options,
    "calendar": planning.calendar,
    "pocket": pocket.pocket,
    "backtest": questions.backtest,
    "pages": pages.pages,
    "demo": demo.demo,
}
for _name, _command in COMMANDS.items():
    app.command(_name, epilog=below_help(_name))(_command)


def _print_version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        typer.echo(f"costlearn {version('costlearn')}")
        raise typer.Exit


@app.callback()
def _all_commands(
    version: Annotated[
        bool,
        typer.Option(
            "--version", help="Print the version.", callback=_print_version, is_eager=True
        ),
    ] = False,
) -> None:
    """Options that belong to no command."""


def run() -> None:
    """Run the command line on the arguments of the process, and end it with the exit code."""
    streams.guard()
    # A long log makes a million small records that all stay: sweeping among them for what has gone
    # takes a third of an import, and finds nothing.
    gc.set_threshold(200_000, 50, 100)
    for setting in ONE_THREAD:
        os.environ.setdefault(setting, "1")
    code = main(sys.argv[1:])
    sys.exit(code)


def main(words: Sequence[str]) -> int:
    """Run the command line on some words; returns the exit code.

    A mistake of the user's ends in one sentence on the error stream and exit code 2.
    """
    try:
        code = app(list(words) or ["--help"], prog_name="costlearn", standalone_mode=False)
        sys.stdout.flush()
    except CostlearnError as problem:
        return _refuse(problem)
    except TyperException as problem:
        return _refuse(_misused(problem))
    except OSError as problem:
        return _refuse(_stopped(problem))
    return code if isinstance(code, int) else 0


def _refuse(problem: CostlearnError) -> int:
    typer.echo(f"costlearn: {problem}", err=True)
    return BAD_INPUT


def _misused(problem: TyperException) -> InputProblem:
    """A word the command line does not know, as one sentence with what it knows."""
    text = problem.format_message().strip().rstrip(".")
    context = getattr(problem, "ctx", None)
    expected = meant = ""
    if text.startswith("No such command"):
        text = text.partition(".")[0]
        expected = "one of " + ", ".join(COMMANDS)
        from costlearn.vocabulary import meant as meant_by

        if asked := meant_by(text.partition("'")[2].rpartition("'")[0].casefold(), COMMANDS):
            meant = f"{asked} "
    elif text.startswith("Missing") and context is not None:
        expected = context.get_usage().removeprefix("Usage: ")
    command = context.command_path if context is not None else "costlearn"
    return InputProblem(
        text[:1].lower() + text[1:], expected=expected, hint=f"{meant}see: {command} --help"
    )


def _stopped(problem: OSError) -> InputProblem:
    """What the disk or the system refused, as one sentence."""
    why = (problem.strerror or str(problem)).lower()
    where = Place(str(problem.filename)) if problem.filename else Place()
    return InputProblem(
        f"the system refuses: {why}", place=where, expected="a place that can be read and written"
    )
