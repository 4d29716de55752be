"""The command line: ``costlearn COMMAND``; exit code 0 answered, 1 do not trust, 2 bad input."""

from __future__ import annotations

import sys

import typer

from costlearn.cli import demo, keep, questions
from costlearn.errors import CostlearnError

app = typer.Typer(
    name="costlearn",
    help="Learns cost, days and overruns from your own finished jobs. A second opinion, never "
    "engineering, legal or tax advice.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    add_completion=False,
)
app.command("import")(keep.import_files)
app.command("jobs")(keep.jobs)
app.command("settings")(keep.settings)
app.command("words")(keep.words)
app.command("estimate")(questions.estimate)
app.command("check")(questions.check)
app.command("overruns")(questions.overruns)
app.command("crew")(questions.crew)
app.command("demo")(demo.demo)


def run() -> None:
    """Run the command line; a mistake of the user's ends in one sentence and exit code 2."""
    try:
        app()
    except CostlearnError as problem:
        print(f"costlearn: {problem}", file=sys.stderr)
        sys.exit(2)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
