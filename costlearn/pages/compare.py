"""The page of two versions of a scope: both on one scale, and what the second comes to more."""

from __future__ import annotations

from collections.abc import Sequence

from costlearn.pages.asked import particulars
from costlearn.pages.charts import Scale
from costlearn.pages.rows import Band, Mark, Row, row_chart
from costlearn.pages.shell import Key, Picture, Remarks, Sheet
from costlearn.questions.answer import Table
from costlearn.questions.quoting.change_words import say_middle, say_more
from costlearn.questions.quoting.differing import Difference
from costlearn.questions.quoting.versions import Versions
from costlearn.questions.wording import PLAIN_TARGET, count_of, say, say_range

QUESTION = "What does the second version come to more?"
NO_MORE = "no difference"
METHOD = (
    "Both versions are foretold together from your finished jobs, compared by floor area, date, "
    "scope and what else is on file; they differ by what your jobs show of the changed items",
    "What is not known of both alike drops out of the difference: its range is worked out from "
    "what differs, never by taking one range off the other",
)
KEYS = (Key("circle", "ink", "middle"), Key("middling", "middle", "8 times in 10 it is in here"))


def sheet(answer: Versions) -> Sheet:
    """What the page shows around the answer."""
    grounds = answer.grounds
    rows = particulars(answer.first, grounds.area_unit, grounds.currency, answer.asked_on)
    asked = [("First version", answer.first.name), ("Second version", answer.second.name)]
    asked.append(("What changes", "; ".join(c.words for c in answer.changes) or "nothing"))
    asked += [(f"{name}, first" if name == "Scope" else name, said) for name, said in rows]
    fresh = tuple(o for o in answer.outside if o not in answer.sentence)
    return Sheet(
        QUESTION,
        f"{answer.second.name} against {answer.first.name}",
        tuple(asked),
        tuple(p for p in (_money(answer), _days(answer)) if p is not None),
        (Remarks("Outside what your jobs can tell", fresh),),
        method=METHOD,
    )


def _money(answer: Versions) -> Picture | None:
    """The difference in cost, and in price where a margin is wanted."""
    cost = answer.difference("cost")
    if cost is None or not answer.changes:
        return None
    money = answer.grounds.currency
    rows = [_row("Direct cost", cost.interval.low, cost.middle, cost.interval.high, "cost", money)]
    if answer.price is not None and answer.price_middle is not None:
        low, high = answer.price.low, answer.price.high
        rows.append(_row("Price, at your margin", low, answer.price_middle, high, "cost", money))
    return Picture(
        "The second version against the first, in money",
        row_chart(rows, Scale("money", f"more than the first, {money}", money), ((0.0, NO_MORE),)),
        f"{count_of(cost.jobs, 'finished job')}, {answer.grounds.span}; {money}; left of the line "
        "the second comes to less; a band holds the difference 8 times in 10.",
        _numbers([cost], money),
        KEYS,
    )


def _days(answer: Versions) -> Picture | None:
    drawn = [d for d in answer.differences if d.target != "cost"]
    if not drawn or not answer.changes:
        return None
    rows = [
        _row(_title(d.target), d.interval.low, d.middle, d.interval.high, d.target, "")
        for d in drawn
    ]
    most = max(d.jobs for d in drawn)
    return Picture(
        "The second version against the first, in days",
        row_chart(rows, Scale("days", "more than the first, days"), ((0.0, NO_MORE),)),
        f"Up to {count_of(most, 'finished job')}, {answer.grounds.span}; days; left of the line "
        "the second takes less; a band holds the difference 8 times in 10.",
        _numbers(drawn, answer.grounds.currency),
        KEYS,
    )


def _title(target: str) -> str:
    words = PLAIN_TARGET[target]
    return words[:1].upper() + words[1:]


def _row(label: str, low: float, middle: float, high: float, target: str, money: str) -> Row:
    said = say_middle(middle, target, money)
    return Row(label, f"middle {said}", (Band(low, high),), (Mark(middle, says=said),))


def _numbers(drawn: Sequence[Difference], money: str) -> Table:
    rows = tuple(
        (
            _title(d.target),
            say_more(d.interval, d.target, money),
            say_middle(d.middle, d.target, money),
            say(d.first.median, d.target, money),
            say(d.second.median, d.target, money),
            say_range(d.second.interval, d.target, money),
        )
        for d in drawn
    )
    heads = ("", "8 in 10", "middle", "first, middle", "second, middle", "second, 8 in 10")
    return Table("The marks drawn", heads, rows)
