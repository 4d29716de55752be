"""Further pictures of overruns: jobs by phases, the bridge from plan to actual, jobs in time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from costlearn.pages.charts import Scale
from costlearn.pages.matrix import GRADES, Cell, grade, matrix_chart
from costlearn.pages.rows import Band, Mark, Row, row_chart
from costlearn.pages.shell import Key, Picture
from costlearn.pages.timeline import Moment, Stretch, time_chart
from costlearn.questions.answer import Table
from costlearn.questions.overrun.causes import Step
from costlearn.questions.overrun.overruns import HISTORY, Overruns, Record
from costlearn.questions.overrun.times import Change, TimeChart
from costlearn.questions.wording import count_of, say_list
from costlearn.units import say_money, say_percent
from costlearn.vocabulary import standard

NEWEST_JOBS = 16
"""So many of the newest jobs fit beside each other on a phone."""
NEWEST_MOMENTS = 60
MOST_CHARTS = 2
"""Phases whose jobs are shown in time order: those that changed, then the most at stake."""
WHAT = {"cost": "direct cost", "person_days": "person-days"}


def matrix_picture(answer: Overruns) -> Picture | None:
    """Newest jobs by phases, each against its plan, or against history where it had none."""
    target = answer.lead
    known = [r for t, r in answer.records if t == target]
    newest = _newest(known)
    if len(newest) < 2:
        return None
    place = {job: i for i, job in enumerate(newest)}
    shown = [r for r in known if r.job in place]
    order = standard().phase_order
    phases = sorted({r.phase for r in shown}, key=lambda p: (order.get(p, 99), p))
    row = {p: i for i, p in enumerate(phases)}
    names = dict(answer.names)
    cells = [
        Cell(row[r.phase], place[r.job], r.ratio, _cell_says(r, names), r.baseline == HISTORY)
        for r in shown
    ]
    met = {grade(c.ratio).text for c in cells}
    keys = [Key(g.shape, g.tone, g.text, g.hollow) for g in GRADES if g.text in met]
    if any(c.apart for c in cells):
        keys.append(Key("strike", "ink", "no plan: against what other jobs say of that scope"))
    return Picture(
        f"Job by job, phase by phase: {WHAT[target]}",
        matrix_chart(
            [standard().phase_name(p) for p in phases],
            _column_words(shown, newest),
            cells,
            "jobs, the newest at the right",
        ),
        f"The newest {count_of(len(newest), 'job')} with phases on file, {_span(answer, shown)}; "
        f"actual {WHAT[target]} against plan with approved changes, one mark a phase of a job, no "
        "band; a gap is a phase not on file.",
        _matrix_numbers(shown, newest, phases, names),
        tuple(keys),
    )


def bridge_picture(answer: Overruns) -> Picture | None:
    """From what was quoted to what it came to, by cause."""
    steps = answer.causes.bridge
    if not steps:
        return None
    money = answer.grounds.currency
    records = answer.on_file("cost")
    jobs = len({r.job for r in records})
    return Picture(
        "From plan to actual, by cause",
        row_chart(_bridge_rows(steps, money), Scale("money", f"{money}, all these jobs", money)),
        f"{count_of(len(records), 'phase record')} of {count_of(jobs, 'job')}, "
        f"{answer.grounds.span}; {money}, direct cost summed over them; a band is what one cause "
        "added (mark points up) or saved (mark points down), from the level before it.",
        Table(
            "The steps drawn",
            ("step", "adds", "reaches"),
            tuple(
                (s.name, "" if s.level else say_money(s.amount, money), say_money(level, money))
                for s, level in zip(steps, _levels(steps), strict=True)
            ),
        ),
        (
            Key("square", "ink", "level reached"),
            Key("triangle", "signal", "cost more"),
            Key("down", "main", "cost less"),
        ),
    )


def time_pictures(answer: Overruns) -> tuple[Picture, ...]:
    """Jobs in time order, for phases that changed and those with the most at stake."""
    changed = {(c.target, c.phase): c for c in answer.times.changes}
    stakes = {(p.target, p.phase): abs(p.at_stake) for p in answer.of(answer.lead)}
    charts = [c for c in answer.times.charts if c.target == answer.lead]
    ranked = sorted(
        charts,
        key=lambda c: ((c.target, c.phase) not in changed, -stakes.get((c.target, c.phase), 0.0)),
    )
    names = dict(answer.names)
    return tuple(
        _time_picture(answer, c, changed.get((c.target, c.phase)), names)
        for c in ranked[:MOST_CHARTS]
    )


def _newest(records: Sequence[Record]) -> list[str]:
    """Keys of the newest jobs, oldest of them first; undated jobs keep their order, as oldest."""
    seen = {r.job: r.day for r in records}
    return sorted(seen, key=lambda job: seen[job] or date.min)[-NEWEST_JOBS:]


def _column_words(records: Sequence[Record], jobs: Sequence[str]) -> list[str]:
    """The year at the first of its jobs, none too near the last."""
    days = {r.job: r.day for r in records}
    words, last, known = [], -9, ""
    for i, job in enumerate(jobs):
        day = days[job]
        year = str(day.year) if day else ""
        fits = year != known and i - last >= 4
        words.append(year if fits else "")
        if fits:
            last = i
        known = year
    return words


def _cell_says(r: Record, names: dict[str, str]) -> str:
    against = "what other jobs say of its scope" if r.baseline == HISTORY else "plan"
    phase = standard().phase_name(r.phase)
    return (
        f"{names.get(r.job, r.job)}, {phase}: {say_percent(r.ratio - 1, signed=True)} of {against}"
    )


def _matrix_numbers(
    records: Sequence[Record], jobs: Sequence[str], phases: Sequence[str], names: dict[str, str]
) -> Table:
    at = {(r.job, r.phase): r for r in records}

    def cell(job: str, phase: str) -> str:
        r = at.get((job, phase))
        if r is None:
            return ""
        return say_percent(r.ratio - 1, signed=True) + (" *" if r.baseline == HISTORY else "")

    return Table(
        "The marks drawn",
        ("job", *(standard().phase_name(p) for p in phases)),
        tuple((names.get(j, j), *(cell(j, p) for p in phases)) for j in reversed(jobs)),
        "* against what other jobs say of that scope: no plan on file."
        if any(r.baseline == HISTORY for r in records)
        else "",
    )


def _levels(steps: Sequence[Step]) -> list[float]:
    """The level reached after each step."""
    reached, found = 0.0, []
    for s in steps:
        reached = s.amount if s.level else reached + s.amount
        found.append(reached)
    return found


def _bridge_rows(steps: Sequence[Step], money: str) -> list[Row]:
    rows = []
    before = 0.0
    for s, level in zip(steps, _levels(steps), strict=True):
        if s.level:
            mark = Mark(level, "square", "ink", False, f"{s.name}: {say_money(level, money)}")
            rows.append(Row(s.name, say_money(level, money), (), (mark,)))
        else:
            up = s.amount > 0
            sign = "+" if up else ""
            said = f"{s.name}: {sign}{say_money(s.amount, money)}"
            mark = Mark(
                level, "triangle" if up else "down", "signal" if up else "main", False, said
            )
            band = Band(min(before, level), max(before, level), "tall")
            rows.append(Row(s.name, f"{sign}{say_money(s.amount, money)}", (band,), (mark,)))
        before = level
    return rows


def _time_picture(
    answer: Overruns, chart: TimeChart, change: Change | None, names: dict[str, str]
) -> Picture:
    first = max(0, len(chart.jobs) - NEWEST_MOMENTS)
    odd: dict[str, list[str]] = {o.job: [] for o in chart.odd}
    for o in chart.odd:
        odd[o.job].append(o.rule)
    moments = []
    for i, job in enumerate(chart.jobs[first:]):
        ratio = chart.ratios[first + i]
        said = f"{names.get(job, job)}: {say_percent(ratio - 1, signed=True)}"
        rules = f" ({say_list(odd[job])})" if job in odd else ""
        moments.append(Moment(i, ratio, job in odd, said + rules))
    days = chart.days[first:]
    limits = (chart.low, chart.middle, chart.high)
    left = "" if not first else f", the newest {len(moments)} drawn"
    known = [d for d in chart.days if d]
    span = f"{known[0]:%b %Y} to {known[-1]:%b %Y}" if known else answer.grounds.span
    told = change.sentence if change else "No change over time is told from luck."
    return Picture(
        f"{chart.name}: {WHAT[chart.target]} in time order",
        time_chart(moments, days, limits, _stretches(change, days)),
        f"{count_of(len(chart.jobs), 'job')}, {span}{left}; actual against plan with approved "
        "changes; the band between the dashed lines holds nearly every job if nothing has changed "
        f"(three spreads of job-to-job differences), dotted is the middle. {told}",
        Table(
            "The jobs drawn",
            ("job", "when", "against plan", "rule broken"),
            tuple(
                (
                    names.get(job, job),
                    f"{day:%b %Y}" if day else "no date",
                    say_percent(m.ratio - 1, signed=True),
                    say_list(odd.get(job, ())),
                )
                for job, day, m in zip(chart.jobs[first:], days, moments, strict=True)
            ),
            f"Limits {say_percent(chart.low - 1, signed=True)} and "
            f"{say_percent(chart.high - 1, signed=True)}. Together the rules speak about once "
            "in 90 jobs when nothing has changed.",
        ),
        (
            Key("circle", "main", "one job"),
            *((Key("diamond", "signal", "breaks a rule of the chart"),) if odd else ()),
            Key("dash", "muted", "limits"),
            *((Key("middling", "middle", "level before and since"),) if change else ()),
        ),
    )


def _stretches(change: Change | None, days: Sequence[date | None]) -> tuple[Stretch, ...]:
    if change is None:
        return ()
    cut = next((i for i, d in enumerate(days) if d is not None and d >= change.since), 0)
    after = Stretch(cut, len(days) - 1, change.after)
    return (Stretch(0, cut - 1, change.before), after) if cut else (after,)


def _span(answer: Overruns, records: Sequence[Record]) -> str:
    days = [r.day for r in records if r.day]
    return f"{min(days):%b %Y} to {max(days):%b %Y}" if days else answer.grounds.span
