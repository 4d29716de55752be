"""The command about what the work earns."""

from __future__ import annotations

from costlearn.cli import options as opt


def earnings(
    on: opt.OnDate = None,
    book: opt.BookPath = opt.DEFAULT_BOOK,
    as_json: opt.AsJson = False,
    html: opt.HtmlPath = None,
) -> None:
    """Say what earns most a day, by kind of job, and whether it carries your overhead."""
    from costlearn.questions.earning.earnings import earnings as ask

    with opt.open_book(book) as kept:
        answer = ask(kept.history(), kept.entries(), on=opt.day_of(on))
    opt.deliver(answer, as_json, html)
