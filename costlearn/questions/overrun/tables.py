"""The figures of the overruns answer as they are to be read."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.questions.answer import Table
from costlearn.questions.overrun.advice import Advice, Correction, Reserve
from costlearn.questions.overrun.causes import Causes, PhaseVariance
from costlearn.questions.overrun.phases import PhaseOverrun
from costlearn.questions.wording import count_of, say, say_range
from costlearn.units import say_days, say_money, say_odds, say_percent
from costlearn.vocabulary import standard


def phase_table(phases: Sequence[PhaseOverrun], money: str, yearly: bool) -> Table:
    """Phases of one target against plan."""
    target = phases[0].target
    stake = "a year" if yearly else "on the jobs on file"
    rows = tuple(
        (
            p.name,
            f"{say_percent(p.interval.low - 1, signed=True)} to "
            f"{say_percent(p.interval.high - 1, signed=True)}",
            say_percent(p.ratio - 1, signed=True),
            say_percent(p.raw - 1, signed=True),
            say_percent(p.share_over),
            p.verdict,
            _stake(p, target, money),
            str(p.records),
            say_odds(p.next_over).replace(" jobs in", " in").replace(" job in", " in"),
        )
        for p in phases
    )
    what = "Direct cost" if target == "cost" else "Person-days"
    return Table(
        f"{what} against plan, by phase",
        (
            "phase",
            "its mean, 8 in 10",
            "pooled",
            "raw mean",
            "jobs over plan",
            "signal or luck",
            f"at stake {stake}",
            "records",
            "next one over by 10 %, jobs",
        ),
        rows,
        "The ranges hold a phase's mean over many jobs, 8 times in 10; single jobs scatter more, "
        "see the last column. Pooled figures are drawn towards the common mean: the worst raw one "
        "is part bad luck. "
        "'Runs over' means 95 % sure of more than 5 % and standing after correction for all phases "
        "looked at, 'probably' 80 %.",
    )


def _stake(p: PhaseOverrun, target: str, money: str) -> str:
    """What is at stake: its 80 % range."""
    if p.stake is None:
        return say(p.at_stake, target, money)
    return say_range(p.stake, target, money)


def advice_tables(advice: Advice, money: str, share: float | None) -> list[Table]:
    """What to change in the next quote, and what is paid for by nobody."""
    found = []
    acted = [c for c in advice.corrections if c.verdict != "could be luck"]
    if any(c.add for c in acted):
        found.append(_correction_table(acted, money))
    found += _unpaid(advice, money, share)
    return found


def _correction_table(acted: Sequence[Correction], money: str) -> Table:
    by_phase: dict[str, dict[str, Correction]] = {}
    for c in acted:
        by_phase.setdefault(c.phase, {})[c.target] = c
    rows = tuple(
        (
            next(iter(of.values())).name,
            _added(of.get("person_days"), money),
            _added(of.get("cost"), money),
            " / ".join(say_percent(c.factor - 1, signed=True) for c in of.values()),
            " / ".join(dict.fromkeys(c.verdict for c in of.values())),
        )
        for of in by_phase.values()
    )
    return Table(
        "What to change in the next quote",
        ("phase", "person-days", "direct cost", "of your plan", "because it"),
        rows,
        "For a job of average size, if you plan as before. Phases not named: leave them as they "
        "are.",
    )


def _added(one: Correction | None, money: str) -> str:
    if one is None:
        return "as planned"
    if not one.add:
        return "less than half a day" if one.target == "person_days" else "next to nothing"
    size = abs(one.add)
    text = say_money(size, money) if one.target == "cost" else _half_days(size)
    return f"{'add' if one.add > 0 else 'take off'} {text}"


def _half_days(days: float) -> str:
    return "half a day" if days == 0.5 else say_days(days)


def _unpaid(advice: Advice, money: str, share: float | None) -> list[Table]:
    when = "a year" if share else "on the jobs on file"
    factor = share or 1.0
    rows = []
    extras = advice.extras
    if extras.verbal or extras.unpriced:
        count = extras.verbal + extras.unpriced
        rows.append(
            (
                "extras not approved, or approved at no price",
                str(count),
                _sum(extras.price, factor, money),
                _sum(extras.cost, factor, money),
                "not known" if extras.days is None else say_days(extras.days * factor),
            )
        )
    rows += [
        (
            f"call-backs, {c.name.lower()}",
            str(c.jobs),
            "",
            _sum(c.cost, factor, money),
            "not known" if c.person_days is None else say_days(c.person_days * factor),
        )
        for c in advice.callbacks
    ]
    if not rows:
        return []
    return [
        Table(
            f"Work nobody pays for, {when}",
            ("what", "how many on file", "price asked", "direct cost", "person-days"),
            tuple(rows),
            "Extras are those spoken of and done or promised, never approved; call-backs stand by "
            "the phase that caused them, and are in no figure of the phases above.",
        )
    ]


def _sum(value: float | None, factor: float, money: str) -> str:
    return "not known" if value is None else say_money(value * factor, money)


def reserve_table(reserve: Reserve, money: str) -> Table:
    """What the usual job may need beyond plan, by phase and as a whole."""
    target = reserve.target

    def row(name: str, plan: float, p50: float, p80: float) -> tuple[str, ...]:
        return (name, say(plan, target, money), say(p50, target, money), say(p80, target, money))

    rows = [row(p.name, p.plan, p.p50, p.p80) for p in reserve.phases]
    rows.append(("sum of the phases", say(reserve.plan, target, money), "", _whole(reserve, money)))
    rows.append(row("the whole job", reserve.plan, reserve.p50, reserve.p80))
    what = "direct cost" if target == "cost" else "person-days"
    spared = say(reserve.summed - reserve.p80, target, money)
    return Table(
        f"Reserve for a usual job beyond plan, in {what}",
        ("phase", "average plan", "enough in 5 jobs of 10", "enough in 8 jobs of 10"),
        tuple(rows),
        f"Phases do not all go wrong in one job: the whole job needs {spared} less than the sum of "
        "its phases. Reserves are beyond plans as they are written now; what you correct in a "
        "phase's plan comes off its reserve.",
        totals=2,
    )


def _whole(reserve: Reserve, money: str) -> str:
    return say(reserve.summed, reserve.target, money)


def cause_tables(causes: Causes, money: str) -> list[Table]:
    """Cost split by cause for each phase, surprises met, and what goes with overrun."""
    found = []
    split = [v for v in causes.phases if len(v.parts) > 1]
    if split:
        found.append(_variance_table(split, money))
    if causes.surprises:
        rows = tuple(
            (
                s.name,
                str(len(s.jobs)),
                _sum(s.cost, 1.0, money),
                s.said[0] + (f"; and {len(s.said) - 1} more" if len(s.said) > 1 else ""),
            )
            for s in causes.surprises
        )
        found.append(
            Table(
                "Surprises named in notes, change orders and bills",
                ("what", "jobs", "cost named with it", "as written"),
                rows,
            )
        )
    if causes.clear:
        found.append(_driver_table(causes))
    return found


def _variance_table(split: Sequence[PhaseVariance], money: str) -> Table:
    def say_part(v: PhaseVariance, *keys: str) -> str:
        known = [v.parts[k] for k in keys if k in v.parts]
        return say_money(sum(known), money) if known else ""

    rows = tuple(
        (
            standard().phase_name(v.phase),
            say_money(v.total, money),
            say_part(v, "days"),
            say_part(v, "rates"),
            say_part(v, "quantity"),
            say_part(v, "price"),
            say_part(v, "labour", "material", "sub", "other"),
            say_part(v, "rest"),
        )
        for v in split
    )
    heads = (
        "phase",
        "against plan",
        "through person-days",
        "through day rates",
        "materials, amount",
        "materials, price",
        "kinds not split",
        "no cause on file",
    )
    said = [k for k in range(len(heads)) if any(row[k] for row in rows)]
    return Table(
        "Why cost came out over or under plan",
        tuple(heads[k] for k in said),
        tuple(tuple(row[k] for k in said) for row in rows),
        "Sum over the jobs on file; minus is under plan. Days at the planned day rate, or at your "
        "stated one where the plan has none; amount and price of materials need a price index.",
    )


def _driver_table(causes: Causes) -> Table:
    rows = tuple(
        (
            c.name,
            f"{say_percent(c.interval.low - 1, signed=True)} to "
            f"{say_percent(c.interval.high - 1, signed=True)}",
            str(c.jobs),
        )
        for c in causes.clear
    )
    return Table(
        "What goes with overrun of whole jobs",
        ("what", "changes actual over plan by, 8 in 10", "jobs with it"),
        rows,
        f"Of {count_of(causes.looked_at, 'possible cause')} looked at over "
        f"{count_of(causes.judged, 'job')}, those that stand after correction for all of them.",
    )
