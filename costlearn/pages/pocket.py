"""The pocket sheet: one small HTML file for the phone, with the fitted models inside.

Its scripts may ask for nothing outside: the page's own policy names them by their hash and forbids
the rest.
"""

from __future__ import annotations

import json
from base64 import b64encode
from dataclasses import dataclass
from hashlib import sha256
from importlib.resources import files

from costlearn.pages.shell import FOOTER, environment, rests_on
from costlearn.pages.style import FONT, TONES
from costlearn.questions.pocket import CarriedItem, CarriedKind, Pocket
from costlearn.vocabulary import standard

SCRIPTS = ("pocket_models.js", "pocket_sums.js", "pocket_words.js", "pocket_draw.js")
"""What the page can do, before what starts it."""
FORM = "pocket_form.js"
UNITS = {
    "sqft": {"sqft": "sq ft", "lnft": "ft", "each": "pieces"},
    "sqm": {"sqft": "m²", "lnft": "m", "each": "pieces"},
}


@dataclass(frozen=True)
class Row:
    """An item as the form offers it: its number, unit, and how many finished jobs had it."""

    number: int
    item: CarriedItem
    unit: str


@dataclass(frozen=True)
class Part:
    """Items under one heading."""

    title: str
    rows: tuple[Row, ...]


def pocket_html(pocket: Pocket) -> str:
    """The sheet as one HTML page that needs no network.

    Args:
        pocket: the fitted models; one that is not known has nothing to show, so do not ask.
    """
    style = environment().get_template("pocket.css").render(tones=TONES, font=FONT)
    script = "".join(_source(name) for name in (*SCRIPTS, FORM))
    return (
        environment()
        .get_template("pocket.html")
        .render(
            pocket=pocket,
            policy=policy(script, style),
            style=style,
            script=script,
            carried=carried_text(pocket),
            units=UNITS[pocket.grounds.area_unit],
            parts=_parts(pocket),
            never=_rows(pocket, [i for i in pocket.items if not i.jobs]),
            kinds=_kinds(pocket.kinds),
            rests=rests_on(pocket),
            footer=FOOTER,
        )
    )


def policy(script: str, style: str) -> str:
    """What the page may do: run these very scripts, use this very style, and nothing else."""
    return (
        f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )


def carried_text(pocket: Pocket) -> str:
    """The fitted models as JSON that is safe inside a script element."""
    text = json.dumps(pocket.plain(), separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c")


def _hash(text: str) -> str:
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"


def _source(name: str) -> str:
    return files("costlearn.pages").joinpath("templates", name).read_text("utf-8")


def _rows(pocket: Pocket, items: list[CarriedItem]) -> tuple[Row, ...]:
    units = UNITS[pocket.grounds.area_unit]
    numbers = {item.key: n for n, item in enumerate(pocket.items)}
    return tuple(Row(numbers[i.key], i, units[i.unit]) for i in items)


def _parts(pocket: Pocket) -> tuple[Part, ...]:
    """The items done before, under the phase their work falls in first, in the order of work."""
    words = standard()
    first = {i.key: i.phases[0] for i in words.items}
    parts = []
    for phase in words.phases:
        done = [i for i in pocket.items if i.jobs and first[i.key] == phase.key]
        if done:
            parts.append(Part(phase.name, _rows(pocket, done)))
    return tuple(parts)


def _kinds(kinds: tuple[CarriedKind, ...]) -> dict[str, tuple[CarriedKind, ...]]:
    done = tuple(sorted((k for k in kinds if k.jobs), key=lambda k: -k.jobs))
    return {"done by you": done, "never done by you": tuple(k for k in kinds if not k.jobs)}
