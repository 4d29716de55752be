"""The page of a calendar: a bar a phase on its likely days, waits after it, hold points on it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import ceil
from typing import Any

from costlearn.pages.asked import particulars, subject
from costlearn.pages.charts import Scale, safe
from costlearn.pages.rows import Band, Mark, Row, row_chart
from costlearn.pages.shell import Key, Picture, Sheet
from costlearn.questions.answer import Table
from costlearn.questions.planning.answer import SiteCalendar
from costlearn.questions.planning.dates import day, done_between, short
from costlearn.questions.planning.spans import Span
from costlearn.questions.wording import count_of

QUESTION = "On which days would this job run?"
STEPS = (1, 2, 4, 8, 13, 26, 52, 104, 520)
"""Weeks between two ticks."""
MOST_TICKS = 4
LONG = 300
"""Over more days than this, ticks say their year."""


@dataclass(frozen=True)
class Days(Scale):
    """An axis of days, each as wide as the other; ticks stand on Mondays."""

    def say(self, value: float) -> str:
        """One tick's text: "11 Jan"."""
        when = date.fromordinal(int(value))
        return f"{when.day} {when:%b}"

    def axis(self, low: float, high: float, most: int = MOST_TICKS) -> dict[str, Any]:
        """Range, ticks and their texts, with a little room."""
        room = 0.03 * (high - low)
        ends = [low - room, high + room]
        ticks = week_ticks(ends[0], ends[1], min(most, MOST_TICKS))
        return {
            "type": "linear",
            "range": ends,
            "tickmode": "array",
            "tickvals": ticks,
            "ticktext": [safe(self.say(t) + _year(t, high - low)) for t in ticks],
            "title": {"text": safe(self.title)},
        }


def _year(tick: int, length: float) -> str:
    """The year of a tick, where days alone could be of several."""
    return f" {date.fromordinal(tick):%Y}" if length > LONG else ""


def week_ticks(low: float, high: float, most: int) -> list[int]:
    """At most so many Mondays between two days, evenly spaced; days as ordinals.

    Where there is no Monday between them, the first of the days.

    >>> [date.fromordinal(t).isoformat() for t in week_ticks(739992, 740021, 4)]
    ['2027-01-11', '2027-01-25']
    """
    # Ordinal 1 is a Monday, so that Mondays leave a rest of 1 when divided by 7.
    begin = ceil(low)
    mondays = range(begin + (1 - begin) % 7, int(high) + 1, 7)
    if not mondays:
        return [begin]
    step = next((w for w in STEPS if len(mondays[::w]) <= most), len(mondays))
    return list(mondays[::step])


def sheet(answer: SiteCalendar) -> Sheet:
    """What the page shows around the answer."""
    grounds = answer.grounds
    asked = particulars(answer.job, grounds.area_unit, grounds.currency, answer.asked_on)
    picture = _plan(answer)
    return Sheet(
        QUESTION,
        subject(answer.job, grounds.area_unit),
        (("First day", day(answer.start)), ("Working days", answer.week), *asked),
        () if picture is None else (picture,),
    )


def _plan(answer: SiteCalendar) -> Picture | None:
    finish = answer.finish
    if finish is None:
        return None
    guides = [(float(_end(finish.likely)), f"half are done by {short(finish.likely)}")]
    if finish.promised is not None:
        whose = "promised" if finish.stated else "by your plan"
        guides.append((float(_end(finish.promised)), f"{whose} {short(finish.promised)}"))
    rows = [_row(answer, s) for s in answer.spans] or [_whole(answer)]
    grounds = answer.grounds
    return Picture(
        "The likely plan, phase by phase" if answer.spans else "From first to last day",
        row_chart(rows, Days("days", "days, ticks on Mondays"), guides),
        f"{count_of(grounds.jobs, 'finished job')}, {grounds.span}; days on the calendar, worked "
        f"{answer.week}; {_line(answer)}.",
        _numbers(answer),
        _keys(answer),
    )


def _keys(answer: SiteCalendar) -> tuple[Key, ...]:
    likely = "likely days on site" if answer.spans else "likely, from first to last day"
    keys = [Key("thick", "main", likely)]
    if any(s.drawn[2] > s.drawn[1] for s in answer.spans):
        keys.append(Key("middling", "middle", "wait after it"))
    within = "8 in 10 begin and end within" if answer.spans else "8 in 10 end within"
    keys.append(Key("thin", "main", within))
    if answer.spans and any(h.day for h in answer.holds):
        keys.append(Key("diamond", "signal", "hold point: an inspection or test must have passed"))
    keys.append(Key("dash", "muted", "likely finish" + _promise(answer)))
    return tuple(keys)


def _line(answer: SiteCalendar) -> str:
    """What the thin line holds."""
    if answer.spans:
        return "the thin line holds the phase of such a job 8 times in 10, first to last day"
    return "the thin line holds the last day of such a job 8 times in 10"


def _promise(answer: SiteCalendar) -> str:
    return " and promise" if answer.finish and answer.finish.promised else ""


def _end(last: date) -> int:
    """The evening of a day."""
    return last.toordinal() + 1


def _row(answer: SiteCalendar, span: Span) -> Row:
    begin, end, until = span.drawn
    bands = [
        Band(span.begins[0].toordinal(), _end(span.ends[1]), "thin"),
        Band(begin, end, "thick"),
    ]
    if until > end:
        bands.append(Band(end, until, "middling"))
    holds = [h for h in answer.holds if h.day and h.before == span.phase]
    marks = [Mark(begin, "diamond", "signal", says=h.what) for h in holds[:1]]
    if span == answer.spans[-1]:
        last = [h for h in answer.holds if h.day and not h.before]
        marks += [Mark(_end(h.day), "diamond", "signal", says=h.what) for h in last if h.day]
    same = span.first == span.last
    under = short(span.first) if same else f"{_brief(span.first)} to {_brief(span.last)}"
    with_two = ", with a helper" if span.helper else ""
    return Row(span.name, under + with_two, tuple(bands), tuple(marks))


def _brief(when: date) -> str:
    return f"{when.day} {when:%b}"


def _whole(answer: SiteCalendar) -> Row:
    finish = answer.finish
    if finish is None:
        return Row("Whole job")
    first = answer.start.toordinal()
    bands = (
        Band(_end(finish.early), _end(finish.late), "thin"),
        Band(first, _end(finish.likely), "thick"),
    )
    return Row("Whole job", f"{_brief(answer.start)} to {_brief(finish.likely)}", bands)


def _numbers(answer: SiteCalendar) -> Table:
    """The days drawn, one line a phase."""
    rows = tuple(
        (s.name, day(s.first), day(s.last), done_between(*s.begins), done_between(*s.ends))
        for s in answer.spans
    )
    if not rows and answer.finish is not None:
        finish = answer.finish
        ends = done_between(finish.early, finish.late)
        rows = (("whole job", day(answer.start), day(finish.likely), "", ends),)
    return Table("The days drawn", ("phase", "first day", "last day", "begins", "ends"), rows)
