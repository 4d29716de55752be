"""The command that makes the pocket sheet: the fitted models as one file for the phone."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from costlearn.cli import options as opt


def pocket(
    to: Annotated[Path, typer.Option("--to", help="The file to write.")] = Path("pocket.html"),
    on: Annotated[
        str | None, typer.Option("--on", help="Day it is made (2026-11-02); default today.")
    ] = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    replace: opt.Replace = False,
    as_json: opt.AsJson = False,
) -> None:
    """Make one small page that prices a scope on the phone, without a network or any names."""
    from costlearn.cli import screen
    from costlearn.questions.pocket import pocket as ask

    opt.refuse_taken(to, replace=replace)
    answer = ask(opt.history_of(book), on=opt.day_of(on) or date.today())
    made = []
    if answer.known:
        from costlearn.pages.pocket import pocket_html
        from costlearn.pages.write import write_file

        made.append(write_file(pocket_html(answer), to))
    if as_json:
        written = [str(path) for path in made]
        screen.print_json({"sentence": answer.sentence, "known": answer.known, "written": written})
        return
    screen.say(answer.sentence)
    for path in made:
        screen.made(path)
