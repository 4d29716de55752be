"""The page that leads to all others: how the firm stands, each page's answer, every job."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from costlearn.pages.shell import environment, opening, rests_on
from costlearn.pages.tables import column_kinds
from costlearn.questions.onfile.overview import Overview

TITLE = "Answers from your own records"
STATE = "How the firm stands"


@dataclass(frozen=True)
class Card:
    """A page on the list: its title, its answer in a sentence, where it stands, if it is known."""

    title: str
    sentence: str
    href: str
    known: bool = True


def index_html(
    cards: Sequence[Card],
    *,
    title: str = TITLE,
    overview: Overview | None = None,
    job_pages: Mapping[str, str] | None = None,
) -> str:
    """The first page of a set as HTML that stands alone.

    Args:
        cards: the other pages.
        title: its heading; default a general one.
        overview: how the firm stands; without it the page only lists pages.
        job_pages: the path of each job's page by the job's key; jobs without one are not linked.
    """
    first, rest = opening(overview.sentence) if overview else ("", "")
    jobs = overview.job_table() if overview and overview.jobs else None
    return (
        environment()
        .get_template("index.html")
        .render(
            title=title or TITLE,
            links={},
            cards=list(cards),
            overview=overview,
            first=first,
            rest=rest,
            tables=[(t, column_kinds(t)) for t in overview.tables()] if overview else [],
            jobs=jobs,
            job_kinds=column_kinds(jobs) if jobs else (),
            leads=[(job_pages or {}).get(j.key, "") for j in overview.jobs] if overview else [],
            rests_on=rests_on(overview) if overview and overview.known else (),
        )
    )
