"""The frame of a page: one file that needs no network, filled through templates that escape all."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache

import plotly.graph_objects as go
from jinja2 import Environment, PackageLoader, StrictUndefined
from plotly.offline import get_plotlyjs

from costlearn.pages.charts import CONFIG, TONES, figure_text
from costlearn.questions.answer import Answer, Table
from costlearn.questions.wording import count_of

POLICY = (
    "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; "
    "img-src data: blob:; font-src data:"
)
FOOTER = "costlearn: a second opinion from your own records; not engineering, legal or tax advice"
NOT_TRUSTED = "Not to be relied on as it stands."

LENGTHY = 150
"""A first sentence with more letters than this is set a size smaller."""
LONG_TEXT = 24
"""A column with a longer text than this is given room for words."""

_FIGURE = r"-?(?:[A-Z]{3} |[$£€])?\d[\d,.]*"
_UNIT = r"(?: ?(?:%|days?|sq ft|m²))?"
_NUMERIC = re.compile(rf"[+-]?{_FIGURE}{_UNIT}(?: (?:to|/) [+-]?{_FIGURE}{_UNIT})?")
_NO_FIGURE = {"not known", "too few jobs", ""}


@dataclass(frozen=True)
class Key:
    """What a mark or a line of a picture means: ``shape`` is a mark, a band's form or a line."""

    shape: str
    tone: str
    text: str
    hollow: bool = False


@dataclass(frozen=True)
class Picture:
    """A chart with what must stand beside it: title, caption, key, the same numbers as a table."""

    title: str
    figure: go.Figure
    caption: str
    numbers: Table
    key: tuple[Key, ...] = ()

    @property
    def text(self) -> str:
        """The figure as JSON; safe inside a script element by ``charts.figure_text``."""
        return figure_text(self.figure)


@dataclass(frozen=True)
class Remarks:
    """Lines under a heading."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """All that a page shows around an answer.

    ``question`` is the page's heading, ``subject`` the one line under it, ``asked`` the particulars
    of what was asked, by name. ``dense`` sets it tight on paper, to be one sheet.
    """

    question: str
    subject: str = ""
    asked: tuple[tuple[str, str], ...] = ()
    pictures: tuple[Picture, ...] = ()
    remarks: tuple[Remarks, ...] = ()
    tables: tuple[Table, ...] = field(default=())
    dense: bool = False


def render(answer: Answer, sheet: Sheet, title: str) -> str:
    """The whole page of an answer, as HTML that stands alone."""
    first, rest = opening(answer.sentence)
    pictures = sheet.pictures if answer.known else ()
    return (
        environment()
        .get_template("page.html")
        .render(
            title=title,
            sheet=sheet,
            answer=answer,
            first=first,
            lengthy=len(first) > LENGTHY,
            rest=rest,
            pictures=pictures,
            tables=[(t, column_kinds(t)) for t in (*answer.tables(), *sheet.tables)],
            rests_on=rests_on(answer),
            not_trusted=NOT_TRUSTED if answer.known and not answer.trusted else "",
            plotly=get_plotlyjs() if pictures else "",
        )
    )


@cache
def environment() -> Environment:
    """The templates, with escaping on for everything that is not made here."""
    env = Environment(
        loader=PackageLoader("costlearn.pages", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.filters["tied"] = tied
    env.globals.update(
        policy=POLICY,
        footer=FOOTER,
        tones=TONES,
        dark=_data(dict(TONES.values())),
        config=_data(CONFIG),
        column_kinds=column_kinds,
    )
    return env


def tied(text: str) -> str:
    r"""A text whose figures stay with their unit when a line is broken.

    >>> tied("5 jobs in 10 leave 27 %").count("\xa0")
    3
    """
    return re.sub(
        r"(\d) (?=%|jobs? in|days?\b|sq ft)|(?<= in) (?=\d)", lambda m: (m[1] or "") + "\xa0", text
    )


def opening(sentence: str) -> tuple[str, str]:
    """The first sentence of an answer, to be set large, and what follows it.

    >>> opening("It costs 5. It may rain.")
    ('It costs 5.', 'It may rain.')
    """
    parts = re.split(r"(?<=[.!?])\s+(?=[A-Z])", sentence, maxsplit=1)
    return parts[0], parts[1] if len(parts) > 1 else ""


def rests_on(answer: Answer) -> tuple[str, ...]:
    """What an answer rests on, in lines: jobs and dates, prices, how it was computed."""
    grounds = answer.grounds
    lines = [f"{count_of(grounds.jobs, 'finished job')}, {grounds.span}"]
    lines.append(f"Money in {grounds.currency}, direct cost: before overhead and margin")
    if grounds.prices:
        lines.append(f"Prices {grounds.prices}")
    return tuple(f"{line.rstrip('.')}." for line in (*lines, *grounds.notes))


def column_kinds(table: Table) -> tuple[str, ...]:
    """How each column is set: "number" flush right, "long" with room for words, or "".

    The first column names its row and is never a number.

    >>> column_kinds(Table("", ("item", "adds"), (("bench", "$640"),)))
    ('', 'number')
    """
    if not table.rows:
        return ("",) * len(table.heads)
    return ("", *(_kind(cells) for cells in list(zip(*table.rows, strict=True))[1:]))


def _kind(cells: Sequence[str]) -> str:
    said = [c for c in cells if c not in _NO_FIGURE]
    if said and all(_NUMERIC.fullmatch(c) for c in said):
        return "number"
    return "long" if any(len(c) > LONG_TEXT for c in cells) else ""


def _data(value: object) -> str:
    """Our own constants as JSON for a script element."""
    return json.dumps(value, sort_keys=True).replace("<", "\\u003c")
