"""The day sheet: one page for the phone that keeps records itself, and a paper form to print.

The page carries the firm's own choices and nothing else of the book. Its script and its style are
named by their hashes in the page's policy, so that nothing else in it can run or load.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from costlearn.errors import InputProblem
from costlearn.firm import Firm
from costlearn.pages.style import FONT, TONES
from costlearn.records import Entry, History, HoursEntry
from costlearn.units import SYMBOLS
from costlearn.vocabulary import Vocabulary, standard

MOST_PEOPLE = 8
MOST_JOBS = 8
RECENT = timedelta(days=400)
"""Whoever logged no hours for this long before the newest row is not offered."""
SCRIPTS = ("daysheet_records.js", "daysheet_form.js", "daysheet.js")
"""The page's script in its parts: what is kept; the form; saving, the list and handing over."""

_RECEIPT_KINDS = (
    ("material", "material"),
    ("sub", "subcontractor"),
    ("rental", "rental"),
    ("disposal", "disposal"),
    ("permit", "permit"),
    ("overhead", "overhead"),
    ("", "not sure"),
)


@dataclass(frozen=True)
class Choices:
    """What the day sheet offers to choose from; ``hours`` is the firm's usual day."""

    jobs: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    phases: tuple[str, ...] = ()
    hours: float = 8.0
    currency: str = "USD"
    firm: str = ""


def choices_from(history: History, entries: Iterable[Entry]) -> Choices:
    """The choices a book gives: running jobs, the firm's phases, who was on site of late.

    Args:
        history: the firm and its jobs, those begun last first among the choices.
        entries: all entries of the book; the people are those of its hours log.
    """
    firm = history.firm
    running = sorted(history.running, key=lambda job: job.day.toordinal() if job.day else 0)
    return Choices(
        jobs=tuple(job.name for job in reversed(running))[:MOST_JOBS],
        people=people_of(entries),
        phases=phase_names(firm),
        hours=firm.hours_per_day,
        currency=firm.currency,
        firm=firm.name,
    )


def people_of(entries: Iterable[Entry], most: int = MOST_PEOPLE) -> tuple[str, ...]:
    """The people of an hours log, those with the most rows of late first.

    A row that counts a crew ("1 of crew 2") or names several people names nobody.
    """
    rows = [e for e in entries if isinstance(e, HoursEntry) and e.day and _is_name(e.person)]
    newest = max((e.day for e in rows if e.day), default=None)
    counts: dict[str, int] = {}
    names: dict[str, str] = {}
    for row in rows:
        if newest and row.day and row.day >= newest - RECENT:
            key = row.person.casefold()
            names.setdefault(key, row.person)
            counts[key] = counts.get(key, 0) + 1
    ranked = sorted(counts, key=lambda key: (-counts[key], key))
    return tuple(names[key] for key in ranked[:most])


def phase_names(firm: Firm) -> tuple[str, ...]:
    """The phases in the order of the trade, each in the firm's own word where it has one.

    A word is offered only if the readers take it for that very phase.
    """
    words = standard().with_phases(firm.phase_words)
    return tuple(
        next(
            word
            for word in (*firm.phase_words.get(phase.key, ())[:1], phase.name, phase.key)
            if word == phase.key or _means(words, word, phase.key)
        )
        for phase in words.phases
    )


def daysheet_html(choices: Choices) -> str:
    """The whole page, which stands alone and asks nothing of any network."""
    env = _environment()
    style = env.get_template("daysheet.css").render(tones=TONES, font=FONT)
    script = _script()
    data = {
        "jobs": choices.jobs,
        "people": choices.people,
        "phases": choices.phases,
        "hours": choices.hours,
        "sign": SYMBOLS.get(choices.currency, choices.currency + " "),
    }
    return env.get_template("daysheet.html").render(
        policy=policy(script, style),
        style=Markup(style),  # noqa: S704  made here of our own constants
        script=Markup(script),  # noqa: S704  a file of this package
        data=Markup(_data(data)),  # noqa: S704  escaped there
        kinds=_RECEIPT_KINDS,
        choices=choices,
        sign=data["sign"],
    )


def policy(script: str, style: str) -> str:
    """What the page may do: run this script, show this style, and nothing from anywhere.

    Content Security Policy Level 3 (W3C), section 6.7: inline blocks are allowed by their hash.
    """
    return (
        f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("costlearn.pages", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@cache
def _script() -> str:
    """The page's script: its parts as they stand, in one function of their own."""
    env = _environment()
    loader = env.loader
    parts = [loader.get_source(env, name)[0] for name in SCRIPTS] if loader else []
    return '(() => {\n"use strict";\n' + "\n".join(parts) + "})();"


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _data(value: object) -> str:
    """Data as JSON that cannot end the element it stands in."""
    text = json.dumps(value, ensure_ascii=True)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


def _is_name(person: str) -> bool:
    return bool(person.strip()) and not any(c.isdigit() or c in "&+/," for c in person)


def _means(words: Vocabulary, word: str, key: str) -> bool:
    try:
        return words.find_phase(word) == key
    except InputProblem:
        return False
