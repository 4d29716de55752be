"""Where each figure came from, and where two records of one figure disagree."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from costlearn.errors import Place
from costlearn.fields import columns, names
from costlearn.records import NOTHING, Amounts, JobEntry, Origin, PhaseEntry
from costlearn.units import from_cents, say_money

MOST_PLACES = 50
"""Places kept with a figure; the words beside them say how many rows there were."""

AMOUNT_FIELDS = tuple(c.field for c in columns(Amounts))
AS_STATED = "as stated"
"""How a figure came about that one row states."""
_COLUMNS = (*columns(JobEntry), *columns(PhaseEntry))
MONEY = frozenset(c.amount or c.field for c in _COLUMNS if c.style == "money")
WORDS = {**names(JobEntry), **names(PhaseEntry)}
"""What sentences call a figure whose name is not said as it stands."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A value, how it was derived, and from where. Money in cents, time in days."""

    value: Any
    how: str
    places: tuple[Place, ...] = ()


Figures = dict[str, Figure]
"""Figures by their field name."""


@dataclass(slots=True)
class Trail:
    """Collects origins and disagreements while one job is put together."""

    currency: str
    origins: list[Origin] = field(default_factory=list)
    conflicts: dict[str, None] = field(default_factory=dict)

    def keep(self, prefix: str, found: Mapping[str, Figure]) -> None:
        """Record where each of some figures came from."""
        for name, figure in found.items():
            self.origins.append(Origin(prefix + name, figure.how, figure.places[:MOST_PLACES]))

    def disagree(self, sentence: str) -> None:
        """Record a disagreement once."""
        self.conflicts[sentence] = None

    def say(self, name: str, value: Any) -> str:
        """Print a value of a figure."""
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, date):
            return value.isoformat()
        if name in MONEY:
            return say_money(from_cents(value), self.currency, exact=True)
        if isinstance(value, int | float):
            return f"{value:.6g}"
        return f"'{value}'"


def same(one: Any, other: Any) -> bool:
    """True if two values are the same figure (numbers up to rounding noise)."""
    if isinstance(one, float) or isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-6, abs_tol=1e-9)
    return bool(one == other)


def settle(
    name: str, offers: Sequence[tuple[Any, Place]], trail: Trail, about: str = ""
) -> Figure | None:
    """The first known of several values of one figure; later different ones are disagreements."""
    first: tuple[Any, Place] | None = None
    for value, place in offers:
        if value is None:
            continue
        if first is None:
            first = (value, place)
        elif not same(first[0], value):
            trail.disagree(
                f"{about}{WORDS.get(name, name)}: {trail.say(name, first[0])} ({first[1]}) against "
                f"{trail.say(name, value)} ({place}); the first is used."
            )
    return None if first is None else Figure(first[0], AS_STATED, (first[1],))


def settle_amounts(
    offers: Sequence[tuple[Amounts, Place]], trail: Trail, about: str = ""
) -> Figures:
    """Field by field the first known of several statements of cost and time."""
    stated = [(a, p) for a, p in offers if a is not NOTHING]
    found: Figures = {}
    for name in AMOUNT_FIELDS if stated else ():
        figure = settle(name, [(getattr(a, name), p) for a, p in stated], trail, about)
        if figure is not None:
            found[name] = figure
    return found


def to_amounts(found: Mapping[str, Figure]) -> Amounts:
    """The values of some figures as one record."""
    if not found:
        return NOTHING
    return Amounts(**{name: figure.value for name, figure in found.items()})


def apart(one: float, other: float, share: float) -> bool:
    """True if two figures differ by more than a share of the larger."""
    return abs(one - other) > share * max(abs(one), abs(other)) + 1e-9


def prefer(
    name: str,
    offers: Sequence[tuple[str, Figure | None]],
    trail: Trail,
    share: float,
    about: str = "",
) -> Figure | None:
    """The first known of several named sources; the others are compared with it.

    Args:
        name: the figure's field name.
        offers: what each source is called in a sentence, and its figure; the most trusted first.
        trail: where a disagreement is recorded.
        share: how far another source may lie off (0.15 = 15 %) before it is a disagreement.
        about: words put before the sentence, such as ``"phase tile: "``.
    """
    known = [(source, figure) for source, figure in offers if figure is not None]
    if not known:
        return None
    source, best = known[0]
    for other_source, other in known[1:]:
        if apart(best.value, other.value, share):
            trail.disagree(
                f"{about}{WORDS.get(name, name)}: {trail.say(name, best.value)} by {source}, "
                f"{trail.say(name, other.value)} by {other_source}; the first is used."
            )
    return best


def gather(figures: Iterable[Figure]) -> tuple[Place, ...]:
    """The places of several figures, each once, at most :data:`MOST_PLACES`."""
    places: dict[Place, None] = {}
    for figure in figures:
        places.update(dict.fromkeys(figure.places))
        if len(places) >= MOST_PLACES:
            break
    return tuple(places)[:MOST_PLACES]


def say_places(places: Sequence[Place]) -> str:
    """Name the first of some places, and how many more there are."""
    more = len(places) - 1
    return str(places[0]) + (f" and {more} more" if more else "")
