"""The page of overruns: each phase against plan, single jobs behind it, signal told from luck."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.pages.charts import Scale
from costlearn.pages.overrun_pictures import bridge_picture, matrix_picture, time_pictures
from costlearn.pages.rows import Band, Mark, Row, row_chart, thinning
from costlearn.pages.shell import Key, Picture, Remarks, Sheet
from costlearn.questions.answer import Table
from costlearn.questions.overrun.overruns import TARGETS, Overruns, PhaseOverrun
from costlearn.questions.wording import count_of, say, say_list
from costlearn.units import say_percent

QUESTION = "Which phases overran, and is it signal or luck?"
LOOKS = {
    "runs over": ("diamond", "signal", False),
    "probably runs over": ("diamond", "signal", True),
    "could be luck": ("circle", "muted", True),
    "probably runs under": ("square", "third", True),
    "runs under": ("square", "third", False),
}
"""Verdict to shape, tone, hollow: told apart by shape and filling alone."""
WHAT = {"cost": "Direct cost", "person_days": "Person-days"}
MOST_LISTED = 30
"""More single records of a phase than this are counted in the table, not listed."""


def sheet(answer: Overruns) -> Sheet:
    """What the page shows around the answer."""
    return Sheet(
        QUESTION,
        _subject(answer),
        pictures=tuple(p for p in _pictures(answer) if p is not None),
        remarks=(
            Remarks("Since when", tuple(c.sentence for c in answer.times.changes)),
            Remarks("Practice", tuple(s.sentence for s in answer.times.learned)),
            Remarks("Single jobs far from the rest of their phase", _unusual(answer)),
        ),
    )


def _pictures(answer: Overruns) -> tuple[Picture | None, ...]:
    """Phases against plan, why, job by job, and when."""
    return (
        *(_picture(answer, t) for t in TARGETS),
        bridge_picture(answer),
        matrix_picture(answer),
        *time_pictures(answer),
    )


def _subject(answer: Overruns) -> str:
    if not answer.known:
        return ""
    text = f"{count_of(answer.grounds.jobs, 'finished job')} with plan and actual by phase"
    return f"{text}, {answer.grounds.span}"


def _picture(answer: Overruns, target: str) -> Picture | None:
    phases = answer.of(target)
    if not phases:
        return None
    money = answer.grounds.currency
    by_phase: dict[str, list[float]] = {p.phase: [] for p in phases}
    for r in answer.on_file(target):
        by_phase[r.phase].append(r.ratio)
    singles = {phase: tuple(ratios) for phase, ratios in by_phase.items()}
    rows = [_row(p, singles[p.phase], money) for p in phases]
    count = sum(p.records for p in phases)
    unit = f"{money}" if target == "cost" else "person-days"
    span = answer.grounds.span
    step = thinning(rows)
    thin = "" if step == 1 else f", every {step}th drawn"
    return Picture(
        f"{WHAT[target]} against plan",
        row_chart(rows, Scale("ratio", "actual against plan"), ((1.0, "on plan"),)),
        f"{count_of(count, 'phase record')} of {count_of(answer.grounds.jobs, 'job')}, {span}; "
        f"{unit}, actual against plan with approved changes; a band holds the phase's true mean "
        f"with odds of 8 in 10, a dot is one job{thin}. Most at stake on top.",
        _numbers(phases, singles),
        _keys(phases),
    )


def _row(p: PhaseOverrun, singles: tuple[float, ...], money: str) -> Row:
    shape, tone, hollow = LOOKS[p.verdict]
    low, high = (say_percent(v - 1, signed=True) for v in (p.interval.low, p.interval.high))
    said = f"{p.name} {p.verdict}: {low} to {high}, {count_of(p.records, 'record')}"
    return Row(
        p.name,
        f"at stake {say(p.at_stake, p.target, money)}",
        (Band(p.interval.low, p.interval.high, "tall"),),
        (Mark(p.ratio, shape, tone, hollow, said),),
        singles,
    )


def _keys(phases: Sequence[PhaseOverrun]) -> tuple[Key, ...]:
    """The verdicts that occur, then the band and the dots."""
    met = {p.verdict for p in phases}
    marks = tuple(Key(s, t, verdict, h) for verdict, (s, t, h) in LOOKS.items() if verdict in met)
    return (
        *marks,
        Key("thick", "middle", "8 in 10 for the mean of the phase"),
        Key("dot", "faint", "one job"),
    )


def _numbers(phases: Sequence[PhaseOverrun], singles: dict[str, tuple[float, ...]]) -> Table:
    rows = tuple(
        (
            p.name,
            f"{say_percent(p.interval.low - 1, signed=True)} to "
            f"{say_percent(p.interval.high - 1, signed=True)}",
            say_percent(p.ratio - 1, signed=True),
            p.verdict,
            _listed(singles[p.phase]),
        )
        for p in phases
    )
    heads = ("phase", "8 in 10", "pooled mean", "signal or luck", "single jobs against plan")
    return Table("The marks drawn", heads, rows)


def _listed(ratios: Sequence[float]) -> str:
    ranked = [say_percent(r - 1, signed=True) for r in sorted(ratios)]
    if len(ranked) > MOST_LISTED:
        return f"{len(ranked)} jobs, {ranked[0]} to {ranked[-1]}"
    return ", ".join(ranked)


def _unusual(answer: Overruns) -> tuple[str, ...]:
    said = []
    for p in answer.phases:
        if p.unusual:
            what = WHAT[p.target].lower()
            said.append(f"{p.name}, {what}: {say_list(p.unusual)}.")
    return tuple(said)
