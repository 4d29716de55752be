"""The frame of a page: HTML that needs no network, filled through templates that escape all.

A page stands alone with everything in it, or shares the script that draws its pictures with the
other pages of its folder. Which scripts may run in it is said in the page itself, by the hash of
each: a script that came in with somebody's data is none of them.
"""

from __future__ import annotations

import hashlib
import json
import re
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

import plotly.graph_objects as go
from jinja2 import Environment, PackageLoader, StrictUndefined
from plotly.offline import get_plotlyjs

from costlearn.pages import style, tables
from costlearn.pages.charts import CONFIG, figure_text
from costlearn.questions.answer import Answer, Table
from costlearn.questions.wording import count_of

FOOTER = "costlearn: a second opinion from your own records; not engineering, legal or tax advice"
NOT_TRUSTED = "Not to be relied on as it stands."

LENGTHY = 150
"""A first sentence with more letters than this is set a size smaller."""
SCRIPT = "pictures.js"
"""The file the pages of a set share: what draws their pictures."""
STAND_IN = (
    f"The picture needs scripts, and the file {SCRIPT} beside the page; its numbers stand in the "
    "table below."
)
ALONE = "The picture needs scripts; its numbers stand in the table below."
AREAS = {"sqft": "square feet", "sqm": "square metres"}


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
    of what was asked, by name. ``dense`` sets it tight on paper, to be one sheet. ``method`` tells
    in plain words how such answers are computed.
    """

    question: str
    subject: str = ""
    asked: tuple[tuple[str, str], ...] = ()
    pictures: tuple[Picture, ...] = ()
    remarks: tuple[Remarks, ...] = ()
    tables: tuple[Table, ...] = field(default=())
    dense: bool = False
    method: tuple[str, ...] = ()


def render(
    answer: Answer,
    sheet: Sheet,
    title: str,
    *,
    script: str = "",
    home: str = "",
    links: Mapping[str, str] | None = None,
) -> str:
    """The whole page of an answer as HTML.

    Args:
        answer: what is told.
        sheet: what stands around it.
        title: the page's name.
        script: where the shared script stands, seen from the page; default in the page itself.
        home: where the first page of its set stands; default it belongs to none.
        links: where rows named so lead: the pages of jobs by their names.
    """
    first, rest = opening(answer.sentence)
    pictures = sheet.pictures if answer.known else ()
    beside = script if pictures else ""
    # A pass for the one script that stands outside; made from the page's own words, so that
    # nothing written into the page can have known it.
    nonce = _digest("".join((title, answer.sentence, *(p.text for p in pictures))))[:22]
    inside = (drawing(), get_plotlyjs()) if pictures and not beside else ()
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
            tables=[(t, tables.column_kinds(t)) for t in (*answer.tables(), *sheet.tables)],
            computed=computed(answer, sheet),
            rests_on=rests_on(answer),
            not_trusted=NOT_TRUSTED if answer.known and not answer.trusted else "",
            policy=policy(ordering(), *inside, nonce=nonce if beside else ""),
            beside=beside,
            nonce=nonce,
            stand_in=STAND_IN if beside else ALONE,
            drawing=inside[0] if inside else "",
            plotly=inside[1] if inside else "",
            home=home,
            links=links or {},
        )
    )


def policy(*scripts: str, nonce: str = "") -> str:
    """What a page may do: run exactly these scripts, or one with this pass, and ask for nothing.

    Styles may stand anywhere, since the drawing library writes them on single marks. See W3C,
    Content Security Policy Level 3, section 2.3.1: a hash cannot allow a script read from a file
    beside the page, a nonce can.
    """
    allowed = [f"'sha256-{_digest(s)}'" for s in scripts] + ([f"'nonce-{nonce}'"] if nonce else [])
    scripts_said = " ".join(allowed) or "'none'"
    return (
        f"default-src 'none'; script-src {scripts_said}; "
        "style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"
    )


@cache
def drawing() -> str:
    """The script that draws the pictures of a page with the drawing library."""
    return _source("drawing.js")


@cache
def ordering() -> str:
    """The script that puts the rows of a table in another order."""
    return _source("ordering.js")


def shared_script() -> str:
    """What the pages of a set share, to be written beside them as ``SCRIPT``."""
    return f"{get_plotlyjs()}\n{drawing()}"


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
        policy=policy(ordering()),
        ordering=ordering(),
        footer=FOOTER,
        tones=style.TONES,
        look=style,
        dark=_data(dict(style.TONES.values())),
        config=_data(CONFIG),
        long_head=tables.LONG_HEAD,
        column_kinds=tables.column_kinds,
        can_sort=tables.can_sort,
        ranks=tables.ranks,
        csv_link=tables.csv_link,
        csv_name=tables.csv_name,
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


def computed(answer: Answer, sheet: Sheet) -> tuple[str, ...]:
    """How an answer came about, in lines: the method, then what was done with these records."""
    return tuple(f"{line.rstrip('.')}." for line in (*sheet.method, *answer.grounds.notes))


def rests_on(answer: Answer) -> tuple[tuple[str, str], ...]:
    """What an answer rests on, by name: jobs, dates, units, prices."""
    grounds = answer.grounds
    pairs = [
        ("Jobs", count_of(grounds.jobs, "finished job")),
        ("Dates", grounds.span),
        ("Money", f"{grounds.currency}, direct cost: before overhead and margin"),
        ("Units", f"working days; areas in {AREAS.get(grounds.area_unit, grounds.area_unit)}"),
    ]
    if grounds.prices:
        pairs.append(("Prices", grounds.prices.rstrip(".")))
    return tuple(pairs)


def _source(name: str) -> str:
    """A script of ours as it stands in its file; never filled in, so its hash is its own."""
    return (files("costlearn.pages") / "templates" / name).read_text("utf-8").strip()


def _digest(text: str) -> str:
    return b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _data(value: object) -> str:
    """Our own constants as JSON for a script element."""
    return json.dumps(value, sort_keys=True).replace("<", "\\u003c")
