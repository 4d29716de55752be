"""The pictures of the crew's year: choices side by side, odds, backlog, what it hangs on."""

from __future__ import annotations

from costlearn.pages.charts import Scale
from costlearn.pages.curves import Spot, band_chart, odds_curve
from costlearn.pages.rows import Band, Mark, Row, row_chart
from costlearn.pages.shell import Key, Picture
from costlearn.questions.answer import Table
from costlearn.questions.crewing import words as crew_words
from costlearn.questions.crewing.crew import Crew
from costlearn.questions.crewing.what_if import Lever
from costlearn.questions.crewing.year import Choice, YearGain
from costlearn.questions.wording import count_of, say_range
from costlearn.units import say_money, say_odds, say_percent


def year_pictures(answer: Crew) -> tuple[Picture, ...]:
    """All pictures of the year; none where it could not be weighed."""
    if answer.year is None:
        return ()
    drawn = (
        _choices(answer, answer.year),
        _odds(answer, answer.year),
        _backlog(answer, answer.year),
        _levers(answer),
    )
    return tuple(p for p in drawn if p is not None)


def belief_said(answer: Crew) -> str:
    """What is put beside the heading of a picture that rests on a belief; else nothing."""
    return (
        ""
        if answer.belief is None
        else f" (with your belief, {crew_words.say_share(answer.belief)})"
    )


def _grounds(answer: Crew, year: YearGain) -> str:
    return (
        f"{count_of(answer.grounds.jobs, 'finished job')}, {answer.grounds.span}; "
        f"{answer.grounds.currency} a year with {crew_words.to_sell(year)} to be sold"
    )


def _choices(answer: Crew, year: YearGain) -> Picture:
    money = answer.grounds.currency
    weighed = [c for c in year.choices if c.gain is not None]
    rows = [_choice(c, money) for c in weighed]
    table = tuple(
        (
            c.name,
            say_range(c.gain, "cost", money) if c.gain else "",
            say_money(c.median, money),
            say_percent(c.pays),
        )
        for c in weighed
    )
    return Picture(
        f"What each choice earns in a year, more than working alone{belief_said(answer)}",
        row_chart(rows, Scale("money", f"gain of the year, {money}", money), [(0.0, "as alone")]),
        f"{_grounds(answer, year)}; a band holds the gain with odds of 8 in 10.",
        Table("The ranges drawn", ("", "gain, 8 in 10", "middle", "it pays"), table),
        (Key("middling", "middle", "8 in 10"), Key("circle", "signal", "middle")),
    )


def _choice(choice: Choice, money: str) -> Row:
    gain, middle = choice.gain, choice.median or 0.0
    said = f"{choice.name}: middle {say_money(middle, money)}, pays in {say_percent(choice.pays)}"
    return Row(
        choice.name[:1].upper() + choice.name[1:],
        f"pays in {say_percent(choice.pays)}",
        (Band(gain.low, gain.high),) if gain else (),
        (Mark(middle, "circle", "signal", says=said),),
    )


def _odds(answer: Crew, year: YearGain) -> Picture:
    money = answer.grounds.currency
    curve = [(g, round(1 - p / 100, 2)) for p, g in enumerate(year.curve, start=1)]
    said = f"it pays in {say_percent(year.pays)} of cases"
    rows = [(say_money(g, money), say_odds(o).replace("job", "case")) for g, o in curve[9::10]]
    rows.append((say_money(0.0, money), f"{say_percent(year.pays)}: it pays"))
    return Picture(
        "Odds that a year with a second person earns more than an amount" + belief_said(answer),
        odds_curve(
            curve,
            [Spot(0.0, year.pays, "diamond", "signal", says=said)],
            Scale("money", f"gain of the year, {money}", money),
            thick=(year.gain.low, year.gain.high),
            guide=0.0,
        ),
        f"{_grounds(answer, year)}, a second person all year less alone; the thick stretch of the "
        "line holds 8 cases in 10.",
        Table("The points drawn", ("gain of the year", "odds of more"), tuple(rows)),
        (Key("diamond", "signal", said), Key("dash", "muted", "no gain, no loss")),
    )


def _backlog(answer: Crew, year: YearGain) -> Picture:
    money = answer.grounds.currency
    rival = year.choice(year.rival)
    turn = rival.turns.demand if rival and rival.turns else None
    turns = [] if turn is None else [turn]
    held = (year.backlog, year.backlog_high) if year.backlog_high > year.backlog else None
    table = tuple(
        (
            f"{jobs:.1f}",
            f"{say_money(low, money)} to {say_money(high, money)}",
            say_money(mid, money),
        )
        for jobs, low, mid, high in year.demand[::4]
    )
    said = (
        "no backlog within reach makes it pay on average"
        if turn is None
        else f"it pays on average from {turn:.1f} jobs"
    )
    keys = [Key("middling", "middle", "8 in 10"), Key("dash", "muted", "no gain, no loss")]
    if turns:
        keys.append(Key("diamond", "signal", said))
    return Picture(
        f"Gain with {crew_words.named(rival) if rival else 'help'}, by the jobs there are to sell"
        + belief_said(answer),
        band_chart(
            year.demand,
            Scale("count", "jobs that could be sold in the year"),
            Scale("money", f"gain of the year, {money}", money),
            crossings=turns,
            held=held,
        ),
        f"{count_of(answer.grounds.jobs, 'finished job')}, {answer.grounds.span}; {money} a year; "
        f"the band holds the gain with odds of 8 in 10; {said}.",
        Table("The points drawn", ("jobs to sell", "gain, 8 in 10", "middle"), table),
        tuple(keys),
    )


def _levers(answer: Crew) -> Picture | None:
    found = answer.what_if
    if found is None:
        return None
    money = answer.grounds.currency
    rows = [_lever(v, money) for v in found.levers]
    table = tuple(
        (v.name, f"{v.low} to {v.high}", say_money(v.at_low, money), say_money(v.at_high, money))
        for v in found.levers
    )
    return Picture(
        f"What the gain of a {found.choice} hangs on{belief_said(answer)}",
        row_chart(
            rows,
            Scale("money", f"gain of the year, {money}", money),
            [(0.0, "as alone"), (found.base, "all at their middle")],
        ),
        f"{count_of(answer.grounds.jobs, 'finished job')}, {answer.grounds.span}; {money} a year, "
        "one figure moved at a time, the others at their middle; a band goes from the first end of "
        "the range to the second. "
        f"Watching {count_of(found.more_jobs, 'more job')} by two first would change the choice in "
        f"{say_percent(found.changes)} of cases.",
        Table("The bars drawn", ("figure", "range", "gain at first", "gain at second"), table),
        (
            Key("square", "signal", "at the first end", hollow=True),
            Key("circle", "main", "at the second end"),
        ),
    )


def _lever(lever: Lever, money: str) -> Row:
    low, high = sorted((lever.at_low, lever.at_high))
    first = f"{lever.name} {lever.low}: {say_money(lever.at_low, money)}"
    second = f"{lever.name} {lever.high}: {say_money(lever.at_high, money)}"
    return Row(
        lever.name[:1].upper() + lever.name[1:],
        f"{lever.low} to {lever.high}",
        (Band(low, high),),
        (
            Mark(lever.at_low, "square", "signal", hollow=True, says=first),
            Mark(lever.at_high, "circle", "main", says=second),
        ),
    )
