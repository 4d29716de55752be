"""What earns most, as tables to be read."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.questions.answer import Table
from costlearn.questions.earning.against import Recovered, Unseen
from costlearn.questions.earning.takings import MEASURES, PLAIN, DayEarning, Mix
from costlearn.questions.earning.words import chances
from costlearn.questions.wording import count_of
from costlearn.units import say_days, say_money

TOO_FEW = "too few to say"


def mix_table(mix: Mix, currency: str, overhead: float | None, by: str = "by kind of job") -> Table:
    """What a day leaves on each kind of job."""
    several = sum(e.told for e in mix.kinds) > 1
    heads = ["kind", "8 in 10", "middle", "plain sum over days", "jobs"]
    if several:
        heads.append("earns most")
    if overhead is not None:
        heads.append("carries overhead")
    note = (
        "The range holds the kind's true mean with odds of 8 in 10: kinds are drawn towards each "
        "other, the more the fewer their jobs."
    )
    if several or overhead is not None:
        note += " The last odds are those of that mean."
    if overhead is not None:
        note += f" A working day must carry {say_money(overhead, currency)} of overhead."
    rows = tuple(_row(e, currency, several, overhead is not None) for e in mix.kinds)
    return Table(f"What a {PLAIN[mix.measure]} leaves, {by}", tuple(heads), rows, note)


def _row(e: DayEarning, currency: str, several: bool, overhead: bool) -> tuple[str, ...]:
    if not e.told:
        return (
            e.name,
            TOO_FEW,
            "",
            say_money(e.plain, currency),
            str(e.jobs),
            *[""] * several,
            *[""] * overhead,
        )
    low, high = say_money(e.interval.low, currency), say_money(e.interval.high, currency)
    cells = [
        e.name,
        f"{low} to {high}",
        say_money(e.middle, currency),
        say_money(e.plain, currency),
        str(e.jobs),
    ]
    if several:
        cells.append(chances(e.best))
    if e.covers is not None:
        cells.append(chances(e.covers))
    return tuple(cells)


def pair_table(mixes: Sequence[Mix]) -> Table:
    """The odds that a day on one kind leaves more than on another, by each measure."""
    said = [m for name in MEASURES for m in mixes if m.measure == name]
    odds = {(p.measure, p.one, p.other): p.chance for m in said for p in m.pairs}
    pairs = dict.fromkeys((p.one, p.other) for p in said[0].pairs or said[-1].pairs)
    rows = []
    for one, other in pairs:
        cells = [f"{one} over {other}"]
        for mix in said:
            chance = odds.get((mix.measure, one, other))
            if chance is None and (back := odds.get((mix.measure, other, one))) is not None:
                chance = 1 - back
            cells.append("not known" if chance is None else chances(chance))
        rows.append(tuple(cells))
    heads = ("which earns more", *(f"a {PLAIN[m.measure]}" for m in said))
    return Table("The odds that one kind earns more than another", heads, tuple(rows))


def unseen_table(unseen: Unseen, currency: str) -> Table | None:
    """What call-backs and unbilled extras cost; None where none is on file."""
    share, extras = unseen.share, unseen.extras
    rows = [
        (f"call-backs, {c.name.lower()}", count_of(c.jobs, "job"), c.cost, c.person_days)
        for c in unseen.callbacks
    ]
    unbilled = extras.verbal + extras.unpriced
    if unbilled:
        counted = count_of(unbilled, "change order")
        rows.append(("extras nobody paid for", counted, extras.cost, extras.days))
    if not rows:
        return None
    heads = ["what", "on file", "cost", "person-days"] + (["cost a year"] if share else [])
    return Table(
        "What came off unseen",
        tuple(heads),
        tuple(
            (
                what,
                count,
                say_money(cost, currency),
                say_days(days) if days is not None else "not known",
                *(
                    [say_money(cost * share if cost is not None else None, currency)]
                    if share
                    else []
                ),
            )
            for what, count, cost, days in rows
        ),
        "As written down; in none of the figures above. Extras are changes only spoken of, or "
        "approved at no price.",
    )


def overhead_table(against: Recovered, currency: str) -> Table:
    """What the jobs left against overhead, year by year."""
    rows = [
        (
            str(y.year) + ("" if y.share > 0.99 else f", {count_of(round(y.share * 12), 'month')}"),
            str(y.jobs),
            say_money(y.left, currency),
            say_money(y.overhead, currency),
            say_money(y.over, currency),
        )
        for y in against.years
    ]
    rows.append(
        (
            "all",
            str(sum(y.jobs for y in against.years)),
            say_money(against.left, currency),
            say_money(against.overhead, currency),
            say_money(against.over, currency),
        )
    )
    return Table(
        "What the jobs left against overhead, by the year they ended in",
        ("year", "jobs", "left after direct cost", "overhead", "over or short"),
        tuple(rows),
        "A job that runs over the turn of a year counts in the year it ended. Below zero: the jobs "
        "did not carry the overhead of your settings.",
        totals=1,
    )
