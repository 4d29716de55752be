"""How two versions of a scope are put into words: what changes, and by how much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from costlearn.features.pairs import PLAIN, Change, Support
from costlearn.models.distribution import Interval
from costlearn.models.ladder import markup_from_margin
from costlearn.questions.answer import Table
from costlearn.questions.quoting.differing import Difference, Landing
from costlearn.questions.wording import PLAIN_TARGET, count_of, say_list, say_range
from costlearn.units import FT_PER_M, say_area, say_money, say_odds, say_percent
from costlearn.vocabulary import standard


@dataclass(frozen=True)
class ChangeTold:
    """One change between two versions, in words, and how much the records tell of it.

    ``jobs_with`` counts finished jobs like the version that has more of it, ``jobs_without`` those
    like the other; ``weighed`` is False where records are not read for it at all; ``twins`` names
    unchanged items that always came together with it; ``told`` is True where its figure is
    experience; ``rated`` where the firm's own rates or usual figures count.
    """

    key: str
    how: str
    words: str
    name: str
    before: float | None
    after: float | None
    jobs_with: int
    jobs_without: int
    weighed: bool
    twins: tuple[str, ...]
    told: bool
    rated: bool = False

    @property
    def counted(self) -> bool:
        """True if the figures hold anything of it, be it a first guess or the firm's own rates."""
        return self.weighed or self.rated

    @property
    def why_unknown(self) -> str:
        """Why the records cannot tell what it adds; empty where they can."""
        if self.told:
            return ""
        if not self.weighed:
            return "your own rates alone" if self.rated else "not read from records"
        if self.twins:
            return f"always came with {say_list(self.twins)}"
        total = self.jobs_with + self.jobs_without
        return f"{self.jobs_with} of {count_of(total, 'finished job')} had it"


@dataclass(frozen=True)
class PricePair:
    """The price of each version that keeps the wanted margin with a confidence."""

    confidence: float
    first: float
    second: float


def told_change(change: Change, support: Support, unit: str, *, rated: bool) -> ChangeTold:
    """A change in words, with what it rests on; ``unit`` is the firm's unit of area."""
    words = standard()
    twins = tuple(words.item(k).name for k in support.twins)
    name = PLAIN.get(change.key) or words.item(change.key).name
    return ChangeTold(
        change.key,
        change.how,
        _words(change, name, unit),
        name,
        change.before,
        change.after,
        support.having,
        support.lacking,
        support.weighed,
        twins,
        support.told,
        rated,
    )


def _words(change: Change, name: str, unit: str) -> str:
    if change.how in ("added", "left out"):
        size = change.after if change.how == "added" else change.before
        shown = "" if size in (None, 1.0) else f" {_sized(change.key, float(size), unit)}"
        return f"{name}{shown} {change.how}"
    if change.before is None or change.after is None:
        return f"another {name}"
    show = _sized if change.how == "size" else lambda _, size, __: f"{size:g}"
    before = show(change.key, change.before, unit)
    return f"{name} {show(change.key, change.after, unit)} instead of {before}"


def _sized(key: str, size: float, unit: str) -> str:
    kind = standard().item(key).unit
    if kind == "sqft":
        return say_area(size, unit)
    if kind == "lnft":
        return f"{size / FT_PER_M:.1f} m" if unit == "sqm" else f"{size:g} ft"
    return f"{size:g}"


def say_more(interval: Interval, target: str, currency: str) -> str:
    """The range of a difference: "$900 to $3,400 more", "$260 less to $1,600 more"."""
    if interval.low == interval.high == 0:
        return "no difference"
    low, high = (_size(v, target, currency) for v in (interval.low, interval.high))
    if interval.low >= 0:
        return f"{low} to {high} more"
    if interval.high <= 0:
        return f"{high} to {low} less"
    return f"{low} less to {high} more"


def say_middle(value: float, target: str, currency: str) -> str:
    """The middle of a difference: "$2,100 more"."""
    shown = _size(value, target, currency)
    if not shown.strip("$£€0. "):
        return shown
    return f"{shown} {'less' if value < 0 else 'more'}"


def _size(value: float, target: str, currency: str) -> str:
    """How large a difference is; days to tenths, since most are under a few days."""
    return say_money(abs(value), currency) if target == "cost" else f"{abs(value):.1f}"


def figure_sentence(figures: Sequence[Difference], currency: str) -> str:
    """The differences in a sentence or two: money first, with its odds, then work and days."""
    lead, rest = figures[0], figures[1:]
    said = say_more(lead.interval, lead.target, currency)
    text = (
        f"8 times in 10 it comes to {said} in {PLAIN_TARGET[lead.target]}, middle "
        f"{say_middle(lead.middle, lead.target, currency)}"
    )
    if lead.chance_more is not None:
        text += f"; {say_odds(lead.chance_more, ('comes', 'come'))} to more this way"
    text += "."
    parts = [
        f"{say_more(d.interval, d.target, currency)} {PLAIN_TARGET[d.target]}"
        for d in rest
        if d.target in ("person_days", "elapsed_days")
    ]
    return f"{text} It takes {say_list(parts)}." if parts else text


def price_sentence(price: Interval, middle: float, wanted: float, currency: str) -> str:
    """The price difference that keeps a margin."""
    return (
        f"At your margin of {say_percent(wanted)} that is {say_more(price, 'cost', currency)} in "
        f"the price, middle {say_middle(middle, 'cost', currency)}."
    )


def unknown_sentence(changes: Sequence[ChangeTold]) -> str:
    """What the records cannot tell; empty where they tell something of every change."""
    few = [c for c in changes if c.counted and not c.told]
    if not few:
        return ""
    names = say_list([c.name for c in few])
    verb = "adds" if len(few) == 1 else "add"
    why = "; ".join(c.why_unknown if len(few) == 1 else f"{c.name}: {c.why_unknown}" for c in few)
    return f"Your records cannot tell what {names} {verb} ({why})."


def unweighed_sentence(changes: Sequence[ChangeTold]) -> str:
    """What is not in the figures at all; empty where everything is."""
    left = [c for c in changes if not c.counted]
    if not left:
        return ""
    words = "; ".join(c.words for c in left)
    if all(c.how == "size" for c in left):
        return (
            f"Not counted: {words}. Your records are read for whether such an item is there, "
            "not for how much of it."
        )
    return f"Not counted: {words}. Nothing in your records is read that tells these apart."


def difference_table(figures: Sequence[Difference], money: str) -> Table | None:
    """Both versions and their difference, as they are to be read; None if there are none."""
    if not figures:
        return None
    rows = tuple(
        (
            f"{PLAIN_TARGET[d.target]} ({count_of(d.jobs, 'job')})",
            _land(d.first, d.target, money),
            _land(d.second, d.target, money),
            say_more(d.interval, d.target, money),
            say_middle(d.middle, d.target, money),
            "" if d.chance_more is None else say_odds(d.chance_more),
        )
        for d in figures
    )
    return Table(
        "The second version against the first",
        ("", "first, 8 in 10", "second, 8 in 10", "second comes to", "middle", "to more"),
        rows,
        "The difference has a range of its own: most of what is not known of one version is not "
        "known of the other either, and drops out.",
    )


def _land(landing: Landing, target: str, money: str) -> str:
    return say_range(landing.interval, target, money)


def price_table(
    steps: Sequence[PricePair], wanted: float | None, planned: float | None, money: str
) -> Table | None:
    """Prices of both versions for a margin, as they are to be read; None without a margin."""
    if not steps or wanted is None:
        return None
    rows = tuple(
        (
            say_percent(s.confidence),
            say_money(s.first, money),
            say_money(s.second, money),
            say_middle(s.second - s.first, "cost", money),
        )
        for s in steps
    )
    note = "Margin is a share of the price. Before overhead. How sure: for each price on its own."
    if planned is not None:
        note += f" By your own plans the second costs {say_middle(planned, 'cost', money)}."
    return Table(
        f"Price for a margin of {say_percent(wanted)} "
        f"(a markup of {say_percent(markup_from_margin(wanted))})",
        ("how sure", "first", "second", "difference"),
        rows,
        note,
    )


def change_table(changes: Sequence[ChangeTold]) -> Table | None:
    """What changes and what that rests on, as it is to be read; None if nothing changes."""
    if not changes:
        return None
    rows = tuple(
        (
            c.words,
            str(c.jobs_with) if c.weighed else "",
            str(c.jobs_without) if c.weighed else "",
            c.why_unknown or "your own jobs",
        )
        for c in changes
    )
    return Table(
        "What changes",
        ("", "jobs with", "jobs without", "rests on"),
        rows,
        "Fewer than 3 jobs on either side tell too little: the figure is then a first guess. How "
        "much there is of an item counts for wall tile, lights and moved fixtures only.",
    )
