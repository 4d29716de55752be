"""The marks by which a writer says that a figure is only roughly known."""

from __future__ import annotations

import re
from dataclasses import dataclass

_WORD = (
    r"approx(?:imately|\.)?|about|around|circa|ca\.?|roughly|environ|estimated?|est\.?|maybe"
    r"|perhaps|say"
)
_BEFORE = re.compile(rf"(?:[~≈±]|\?+|(?:{_WORD})(?![a-z]))[: ]*", re.IGNORECASE)
_AFTER = re.compile(
    rf"[, ]*(?:[~≈±]|\?+|\+/-|(?<![a-z])(?:{_WORD}|or so|give or take)|-? ?ish)$", re.IGNORECASE
)
_IN_BRACKETS = re.compile(rf" ?\( ?(\?+|{_WORD}|or so|\+/-) ?\)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Marked:
    """A text without its marks of doubt, and those marks as they were written."""

    text: str
    marks: tuple[str, ...] = ()


def take_rough(text: str) -> Marked:
    """Take the marks off that say a figure is unsure, before and behind it.

    "Up to", "max" and "allow" are none: they bound a figure, they do not state it.

    >>> take_rough("~33.5k?")
    Marked(text='33.5k', marks=('~', '?'))
    """
    before: list[str] = []
    while found := _BEFORE.match(text):
        before.append(found.group().rstrip(": "))
        text = text[found.end() :]
    behind: list[str] = []
    while found := _IN_BRACKETS.search(text) or _AFTER.search(text):
        behind.insert(0, found.group().strip(", ()"))
        text = text[: found.start()]
    return Marked(text.strip(), tuple(dict.fromkeys((*before, *behind))))
