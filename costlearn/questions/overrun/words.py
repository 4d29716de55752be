"""The overruns answer in words: which phases, what they cost together, and what is not on file."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.models.distribution import Interval
from costlearn.questions.overrun.phases import PhaseOverrun
from costlearn.questions.overrun.times import Times
from costlearn.questions.wording import count_of, say_list, say_range
from costlearn.units import say_money, say_percent

FEW = 8


def sentence(
    mine: Sequence[PhaseOverrun],
    stake: Interval | None,
    when: str,
    currency: str,
    times: Times,
    *,
    unsure: bool,
) -> str:
    """What the phases of the leading target say.

    Args:
        mine: the phases of that target.
        stake: what those called over cost together, 80 %; None without money.
        when: "a year", or what else the stake is of.
        currency: of the firm.
        times: what has changed since when.
        unsure: True if some jobs do not say whether their books are closed.
    """
    target = mine[0].target
    called = called_over(mine)
    what = "direct cost" if target == "cost" else "person-days"
    if called:
        text = f"Against plan in {what}: {say_list([_one(p) for p in called])}."
        if stake is not None:
            middle = say_money(sum(p.at_stake for p in called), currency)
            text += f" Together that is {say_range(stake, 'cost', currency)} {when}, middle "
            text += f"{middle}."
    else:
        most = max(p.records for p in mine)
        text = f"No phase can be said to run over its planned {what}: what you see could be luck"
        text += f", with {count_of(most, 'record')} a phase at most." if most < FEW else "."
        under = [p.name.lower() for p in mine if p.verdict == "runs under"]
        where = "Under plan, or still waiting for last bills" if unsure else "Under plan"
        text += f" {where}: {say_list(under)}." if under else ""
    first = next((c for c in times.changes if c.target == target), None)
    return text + (f" {first.sentence}" if first else "")


def called_over(phases: Sequence[PhaseOverrun]) -> list[PhaseOverrun]:
    """The phases that run over, the sure ones first."""
    sure = [p for p in phases if p.verdict == "runs over"]
    return sure + [p for p in phases if p.verdict == "probably runs over"]


def _one(p: PhaseOverrun) -> str:
    low, high = (say_percent(v - 1, signed=True) for v in (p.interval.low, p.interval.high))
    return f"{p.name.lower()} {p.verdict} by {low} to {high} ({count_of(p.records, 'record')})"
