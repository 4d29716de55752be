"""The page that lists pages: each with its answer in a sentence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from costlearn.pages.shell import environment

TITLE = "Answers from your own records"


@dataclass(frozen=True)
class Card:
    """A page on the list: its title, its answer in a sentence, where it stands, if it is known."""

    title: str
    sentence: str
    href: str
    known: bool = True


def index_html(cards: Sequence[Card], *, title: str = TITLE) -> str:
    """The list of pages as HTML that stands alone."""
    return environment().get_template("index.html").render(title=title, cards=list(cards))
