"""The crew answer in words: its sentence, its grounds, and its tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from costlearn.models.distribution import Interval
from costlearn.questions.answer import Table
from costlearn.questions.calendar import usual_wait
from costlearn.questions.crewing.job import JobGain, Way
from costlearn.questions.crewing.speedup import PhaseGain, Speedup
from costlearn.questions.crewing.what_if import WhatIf
from costlearn.questions.crewing.year import Choice, YearGain
from costlearn.questions.wording import count_of, say_range
from costlearn.records import History
from costlearn.units import say_count, say_days, say_money, say_percent

SHOWN = 0.9
"""A saving is called shown by the records where they alone give it at least this chance."""
UNWEIGHED = " This job itself cannot be weighed: your records do not tell how long it takes."


def say_share(interval: Interval) -> str:
    """A range of shares: "61 to 71 %"."""
    return f"{say_percent(interval.low).removesuffix(' %')} to {say_percent(interval.high)}"


def sentence(
    found: Speedup,
    job: JobGain | None,
    year: YearGain | None,
    belief: Interval | None,
    currency: str,
) -> str:
    """The answer: what happens to the days, and what that is worth over the year stated."""
    days = say_share(found.whole.interval(0.8))
    if found.believed and belief:
        text = f"By your own belief, not your records, two need {days} of the days one needs"
    elif belief:
        text = (
            f"With two, the days on site fall to {days} of what one needs (your records, starting "
            f"from your belief of {say_share(belief)})"
        )
    elif found.whole.shown_below(1.0) >= SHOWN:
        text = f"With two, the days on site fall to {days} of what one needs"
    else:
        text = (
            "Your records do not show that two are faster than one; with the usual first guess, "
            f"the days on site come to {days} of what one needs"
        )
    text += "; wait days stay."
    if year is not None:
        text += _year_said(year, currency)
    elif job is not None and job.alone.cost_middle is not None:
        text += _job_said(job, currency)
    return text


def to_sell(year: YearGain) -> str:
    """How many jobs there are to be sold in a year: "6 jobs", "5 to 8 jobs"."""
    least, most = year.backlog, year.backlog_high
    return (f"{least:g} to " if most > least else "") + say_count(max(least, most), "job")


def _year_said(year: YearGain, currency: str) -> str:
    text = f" With {to_sell(year)} to be sold a year, "
    best = year.choice(year.best)
    if best is None or best.key == "alone" or best.gain is None:
        return f"{text}working alone leaves most; {_said(year.all_year, currency)}."
    text += f"best is {named(best)}: {_said(best, currency, short=True)}."
    if best.key != "all_year":
        text += f" All year: {_said(year.all_year, currency, short=True)}."
    return text


def named(choice: Choice) -> str:
    """A choice in the middle of a sentence."""
    names = {
        "phases": f"a helper {choice.name}",
        "every": f"a helper {choice.name}",
        "all_year": "a second person all year",
    }
    return names.get(choice.key, choice.name)


def _said(choice: Choice, currency: str, *, short: bool = False) -> str:
    """What a choice earns against working alone."""
    if choice.gain is None or choice.median is None:
        return choice.name
    word = "earns" if choice.median >= 0 else "costs"
    middle = say_money(abs(choice.median), currency)
    odds = f"pays in {say_percent(choice.pays)} of cases"
    range_ = say_range(choice.gain, "cost", currency)
    said = f"{word} about {middle} ({range_}), {odds}"
    return said if short else f"{named(choice)} {said}"


def _job_said(job: JobGain, currency: str) -> str:
    best = min((w for w in job.ways if w.cost_middle is not None), key=lambda w: w.cost_middle or 0)
    if best is job.alone or best.cost_middle is None or job.alone.cost_middle is None:
        return " On this job its days cost least alone, even if the days gained can be sold."
    less = job.alone.cost_middle - best.cost_middle
    return (
        f" On this job its days cost least with {best.name}, by about {say_money(less, currency)}, "
        "if the days gained can be sold."
    )


def notes(
    found: Speedup, belief: Interval | None, history: History, year: YearGain | None
) -> tuple[str, ...]:
    """What the answer rests on."""
    said = list(_learned(found, belief))
    if usual_wait(history, None) is None:
        said.append("No wait days are on file: the year counts none, so it is too good")
    else:
        said.append("Wait days are taken as lost to the year; jobs are drawn from those on file")
    if year is not None:
        said += _year_notes(history, year)
    return tuple(said)


def _learned(found: Speedup, belief: Interval | None) -> tuple[str, ...]:
    effect = found.whole
    guess = (
        f"First guess before your records: your belief, {say_share(belief)} of the days (8 in 10)"
        if belief
        else "First guess before your records: two people need 70 % of the days, 48 to 103 % "
        "(trade judgement, no source)"
    )
    if found.believed:
        return ("A belief of yours, on no record: it says what follows from it, not what is true",)
    source = "phases whose crew is written down" if found.by_phase else "whole jobs"
    said = [
        f"Learned from {source}, size and scope held equal: {count_of(effect.alone, 'record')} "
        f"with one person, {count_of(effect.together, 'record')} with two",
        guess,
        "Person-days with two are twice the share of days, by their definition",
    ]
    if not found.by_phase:
        said.append(
            f"The work foretells {say_percent(found.explained)} of the differences in crew size"
        )
    if found.apart and not found.by_phase:
        said.append(
            "No job alone was as big as one by two: the range leans on days growing evenly with "
            "floor area"
        )
    return tuple(said)


def _year_notes(history: History, year: YearGain) -> list[str]:
    firm = history.firm
    said = [
        "Gains are the owner's income before tax, less what he would earn alone; overhead is the "
        "same in every choice",
        year.third.rstrip("."),
    ]
    unsaid = [
        words
        for value, words in (
            (firm.helper_idle_days, "days paid without work (helper_idle_days)"),
            (firm.helper_ramp_up_weeks, "weeks to full speed (helper_ramp_up_weeks)"),
            (firm.helper_extra_per_year, "vehicle and insurance (helper_extra_per_year)"),
        )
        if value is None
    ]
    if year.prices:
        said.append(f"What past jobs left after bought cost is {year.prices}")
    if firm.contribution is not None and year.contribution == firm.contribution:
        left = say_money(firm.contribution, firm.currency)
        said.append(f"What an average job leaves, {left}, is as your settings state it")
    if unsaid:
        said.append(f"Not stated, so none counted: {', '.join(unsaid)}")
    if year.backlog_high > year.backlog:
        said.append("Any number of jobs within the stated range is taken as equally likely")
    return said


def marked(table: Table, belief: Interval | None) -> Table:
    """The table, with the belief it rests on said beside its caption."""
    if belief is None:
        return table
    return replace(table, caption=f"{table.caption} (with your belief, {say_share(belief)})")


def effect_table(
    days: Interval | None,
    middle: float | None,
    work: Interval | None,
    even: float | None,
    above: float | None,
) -> Table | None:
    """What two do to days and work, and the speed-up at which they pay."""
    if days is None or work is None or middle is None:
        return None
    rows = [
        ("days on site", say_share(days), say_percent(middle)),
        ("person-days of work", say_share(work), say_percent(2 * middle)),
        ("wait days", "unchanged", "100 %"),
    ]
    if even is not None:
        odds = f"yours is above it: {say_percent(above)}"
        rows.append(("speed-up at which a helper pays, days sold", odds, f"{even:.2f}"))
    return Table("With two, as a share of alone", ("", "8 in 10", "middle"), tuple(rows))


def phases_table(phases: Sequence[PhaseGain]) -> Table | None:
    """The factor of each phase."""
    if not phases:
        return None
    rows = tuple(
        (p.name, say_share(p.interval), say_percent(p.factor), f"{p.alone} / {p.together}")
        for p in phases
    )
    return Table(
        "Site days with two, as a share of the days with one",
        ("phase", "8 in 10", "middle", "records with one / two"),
        rows,
        "Phases are drawn towards the common effect: few records cannot tell them apart. One never "
        "done by two only repeats the others.",
    )


def job_tables(job: JobGain | None, currency: str) -> tuple[Table, ...]:
    """The job done in each way, the phases in the order in which help pays, and the calendar."""
    if job is None:
        return ()
    heads = ("", *(w.name for w in job.ways))
    lines = [
        ("days on site, 8 in 10", [say_range(w.site_days, "site_days", "") for w in job.ways]),
        ("person-days, 8 in 10", [say_range(w.work, "person_days", "") for w in job.ways]),
        (f"wait days, {job.waits.source}", [say_days(job.waits.total)] * len(job.ways)),
        ("first to last day, 8 in 10", [say_range(w.elapsed, "elapsed", "") for w in job.ways]),
        *_money_lines(job.ways, currency),
    ]
    if job.start is not None:
        lines.append((f"done by, from {job.start:%a %d %b %Y}", [_done(w) for w in job.ways]))
    rows = tuple((name, *cells) for name, cells in lines)
    note = "A finish date is the middle one, then the one that 9 in 10 such jobs keep."
    found = [Table("This job", heads, rows, note if job.start else "")]
    found += [t for t in (_order_table(job, currency), _calendar_table(job)) if t is not None]
    return tuple(found)


def _money_lines(ways: Sequence[Way], currency: str) -> list[tuple[str, list[str]]]:
    if any(w.cost is None or w.unsold is None for w in ways):
        return []
    sold = [say_range(w.cost, "cost", currency) for w in ways if w.cost]
    unsold = [say_range(w.unsold, "cost", currency) for w in ways if w.unsold]
    odds = ["" if w.cheaper is None else say_percent(w.cheaper) for w in ways]
    return [
        ("cost of its days, days gained sold", sold),
        ("cost of its days, days gained not sold", unsold),
        ("chance it costs less than alone, days sold", odds),
    ]


def _done(way: Way) -> str:
    if way.finish is None:
        return "not known"
    return f"{way.finish[1]:%d %b}, {way.finish[2]:%d %b %Y}"


def _order_table(job: JobGain, currency: str) -> Table | None:
    if not any(p.saving for p in job.phases):
        return None
    ordered = sorted(job.phases, key=lambda p: (p.place is None, p.place or 0))
    rows = tuple(
        (
            str(p.place) if p.place else ("never seen with two" if not p.seen else "alone"),
            p.name,
            say_range(p.alone, "site_days", ""),
            say_range(p.together, "site_days", ""),
            say_money(p.middle, currency),
            say_percent(p.pays),
        )
        for p in ordered
    )
    return Table(
        "Where a helper pays on this job, best first",
        ("order", "phase", "days alone", "days with two", "saves on average", "chance it does"),
        rows,
        "Counted as if the days gained can be sold; phases that may not occur count as 0 days.",
    )


def _calendar_table(job: JobGain) -> Table | None:
    ways = [w for w in job.ways if w.calendar]
    if not ways:
        return None
    rows = []
    for stretches in zip(*(w.calendar for w in ways), strict=True):
        spans = [
            f"{s.first:%d %b}" if s.first == s.last else f"{s.first:%d %b} - {s.last:%d %b}"
            for s in stretches
        ]
        wait = stretches[0].wait
        rows.append((stretches[0].name, *spans, say_days(wait) if wait >= 0.25 else ""))
    return Table(
        f"Calendar at middle figures, {job.week}",
        ("phase", *(w.name for w in ways), "then wait"),
        tuple(rows),
        f"Waits: {job.waits.source}; they are the same with any crew.",
    )


def year_tables(year: YearGain | None, currency: str) -> tuple[Table, ...]:
    """The choices side by side, and where each turns."""
    if year is None:
        return ()
    rows = tuple(
        (
            c.name,
            f"{c.jobs_middle:.1f}",
            "" if c.gain is None else say_range(c.gain, "cost", currency),
            "" if c.median is None else say_money(c.median, currency),
            "" if c.pays is None else say_percent(c.pays),
            say_money(c.per_day_middle, currency),
        )
        for c in year.choices
    )
    side = Table(
        f"A year with {to_sell(year)} to be sold",
        ("", "jobs", "gain, 8 in 10", "middle", "it pays", "income per own day"),
        rows,
        "Days gained and not sold count nothing unless you value them. Income per own day is the "
        "owner's, before tax, over his days on site.",
    )
    return side, _turns_table(year, currency)


def _turns_table(year: YearGain, currency: str) -> Table:
    rows = []
    for c in year.choices:
        if c.turns is None:
            continue
        t = c.turns
        rows.append(
            (
                c.name,
                _or_none(t.speedup, c.key in ("every", "all_year")),
                "none" if t.wage is None else say_money(t.wage, currency),
                "none" if t.extra_jobs is None else f"{t.extra_jobs:.1f}",
                "none" if t.demand is None else f"{t.demand:.1f}",
            )
        )
    return Table(
        "Where the year turns, the rest at its middle",
        ("", "speed-up", "wage a day", "extra jobs that pay for it", "jobs to be sold"),
        tuple(rows),
        "None: nothing within reach turns it. The speed-up is for help on all phases.",
    )


def _or_none(speedup: float | None, asked: bool) -> str:
    if not asked:
        return ""
    return "none" if speedup is None else f"{speedup:.2f}"


def lever_table(found: WhatIf | None, currency: str) -> Table | None:
    """What the gain hangs on, most first."""
    if found is None:
        return None
    rows = tuple(
        (
            v.name,
            f"{v.low} to {v.high}",
            f"{say_money(v.at_low, currency)} to {say_money(v.at_high, currency)}",
            v.source,
        )
        for v in found.levers
    )
    return Table(
        f"What the gain of a {found.choice} hangs on most",
        ("figure", "from, to", "gain of the year", "where the range comes from"),
        rows,
        f"Watching {count_of(found.more_jobs, 'more job')} by two would change the choice in "
        f"{say_percent(found.changes)} of cases, worth about {say_money(found.worth, currency)} "
        "a year on average.",
    )
