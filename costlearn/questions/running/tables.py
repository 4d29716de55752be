"""The tables of a running job's forecast, as they are to be read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from costlearn.models.earned import Earned
from costlearn.questions.answer import Table
from costlearn.questions.running.ending import Landing, Measured
from costlearn.questions.running.finish import Finish
from costlearn.questions.running.stage import Standing
from costlearn.questions.wording import PLAIN_TARGET, say, say_range
from costlearn.units import say_money, say_odds, say_percent


@dataclass(frozen=True)
class PhaseAhead:
    """One phase of the running job in the lead target (money where known, else person-days).

    ``to_come`` is the middle of what is still to come, None where not known; ``share`` its part in
    the spread of all that is; ``ratio`` what its plan usually has to be multiplied by.
    """

    phase: str
    name: str
    how: str
    done: float
    target: str
    planned: float | None
    spent: float
    to_come: float | None
    share: float
    ratio: float | None


def phases_ahead(
    found: Sequence[Standing], parts: Mapping[str, Measured]
) -> tuple[PhaseAhead, ...]:
    """Every phase of the job, in the order of the trade, in the lead target."""
    lead = parts.get("cost") or next(iter(parts.values()))
    table, now, rest = lead.table, lead.now, lead.rest
    phases = []
    for s in found:
        k = table.phases.index(s.phase)
        planned = None if np.isnan(now.plan[k]) else float(now.plan[k])
        to_come, share, ratio = None, 0.0, None
        if rest is not None:
            whole = float(rest.left.sum())
            to_come = float(rest.left[k]) / whole * rest.spread.median
            share, ratio = float(rest.shares[k]), float(table.factors[k])
        phases.append(
            PhaseAhead(
                s.phase,
                s.name,
                s.how,
                s.done,
                lead.target,
                planned,
                float(now.spent[k]),
                to_come,
                share,
                ratio,
            )
        )
    return tuple(phases)


def figures_table(landings: Sequence[Landing], currency: str) -> Table | None:
    """Where the job ends, a line a target."""
    if not landings:
        return None
    rows = []
    for one in landings:
        by_level = {i.level: say_range(i, one.target, currency) for i in one.intervals}
        ranges = [by_level.get(v, "too few jobs") for v in (0.5, 0.8, 0.9)]
        plan = "not known" if one.plan is None else say(one.plan, one.target, currency)
        rows.append(
            (
                PLAIN_TARGET[one.target],
                say(one.so_far, one.target, currency),
                plan,
                *ranges,
                say(one.median, one.target, currency),
                str(one.jobs),
            )
        )
    return Table(
        "Where this job ends",
        ("", "so far", "planned", "5 in 10", "8 in 10", "9 in 10", "middle", "jobs"),
        tuple(rows),
        "Planned with approved changes. Of ten jobs at this stage, so many end inside each range.",
    )


def odds_table(
    odds: Sequence[tuple[str, float, float]],
    margin: float | None,
    finish: Finish | None,
    currency: str,
) -> Table | None:
    """The odds of each limit in plain words; None if there is no limit."""
    if not odds:
        return None
    rows = []
    for what, limit, chance in odds:
        text, shown = _limit(what, limit, margin, finish, currency)
        rows.append((text, shown, say_odds(chance)))
    return Table("The odds", ("the job", "limit", "odds"), tuple(rows))


def _limit(
    what: str, limit: float, margin: float | None, finish: Finish | None, currency: str
) -> tuple[str, str]:
    if what == "finish" and finish is not None and finish.promised is not None:
        text = "finishes by the promised day" if finish.stated else "finishes by the planned day"
        return text, f"{finish.promised.day} {finish.promised:%b %Y}"
    texts = {
        "budget": "costs no more than planned, with approved changes",
        "margin": f"leaves the wanted margin of {say_percent(margin)}",
        "price": "costs no more than the agreed price",
    }
    return texts[what], say_money(limit, currency)


def phases_table(phases: Sequence[PhaseAhead], currency: str) -> Table | None:
    """How far each phase is, and what it still holds."""
    if not phases:
        return None
    target = phases[0].target
    rows = tuple(
        (
            p.name,
            f"{say_percent(p.done)} done" if p.how == "part done" else p.how,
            "not known" if p.planned is None else say(p.planned, target, currency),
            say(p.spent, target, currency) if p.spent else "",
            "" if p.done >= 1 else _to_come(p, currency),
            "" if p.done >= 1 or p.to_come is None else say_percent(p.share),
            "not known" if p.ratio is None else f"{p.ratio:.2f}",
        )
        for p in phases
    )
    return Table(
        f"Phase by phase: {PLAIN_TARGET[target]}",
        ("phase", "", "planned", "so far", "to come", "part in the spread", "usually x plan"),
        rows,
        "To come: the middle. Part in the spread: which phase the open range hangs on.",
    )


def _to_come(p: PhaseAhead, currency: str) -> str:
    return "not known" if p.to_come is None else say(p.to_come, p.target, currency)


def index_table(
    earned: Earned | None,
    ends: Sequence[tuple[str, float | None]],
    cost: Landing | None,
    currency: str,
) -> Table | None:
    """The standard index arithmetic, and this forecast's middle beside it."""
    if earned is None:
        return None
    four = (
        ("budget at completion, BAC", earned.budget),
        ("earned, EV", earned.earned),
        ("spent, AC", earned.spent),
        ("planned by now, PV", earned.planned),
    )
    rows = [(name, say_money(value, currency)) for name, value in four]
    for name, value in ends:
        plain = name.split(" ", 1)[0] in ("EAC", "VAC")
        shown = say_money(value, currency) if plain else _index(value)
        rows.append((name, shown))
    if cost is not None:
        rows.append(("middle of this forecast", say_money(cost.median, currency)))
    return Table(
        "Beside it: the standard index arithmetic",
        ("", "direct cost"),
        tuple(rows),
        "The index carries the whole miss so far into the rest; on short jobs that is usually too "
        "much. Planned by now: the budget spread evenly over the planned working days.",
    )


def _index(value: float | None) -> str:
    return "not known" if value is None else f"{value:.2f}"
