"""Questions that a person answers in one go: words of one sort, payees of one sheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from costlearn.intake.answers import held
from costlearn.records import Question
from costlearn.units import say_count

EACH = "each"
"""The answer that asks for every one of them on its own."""
SUGGESTED = "as suggested"
"""The answer that takes the first choice of every one of them."""
_NAMED = 4
_OTHERS = ("any other", "own", "the name of another")
"""Beginnings of choices that name no answer yet, or one of a single word."""
_ASKED = {
    "phase": ("Which phase is each of these", "Until then their rows are in the job's total only."),
    "scope": ("Which scope item is each of these", ""),
    "kind of job": ("Which kind of job is each of these", ""),
    "state": ("Which state is each of these", ""),
    "cost kind": ("Which kind of cost is each of these", "Counted as material so far."),
    "job": ("Which job is each of these", "No list of jobs has them."),
    "tax": ("Which tax is in the totals of each of these", ""),
    "crew": (
        "How many people worked on the days of each of these",
        "Until then they are days on site.",
    ),
    "twin": ("One purchase or two, each of these", "Only the first is counted so far."),
}
"""Topics whose questions are put as one, and how; what holds until they are answered."""


@dataclass(frozen=True, slots=True)
class Alike:
    """Questions put as one: the question that stands for them, and they themselves."""

    question: Question
    parts: tuple[Question, ...]

    def answered(self, part: Question, text: str) -> str:
        """What an answer to all of them says of one."""
        if text.casefold() == SUGGESTED and len(self.parts) > 1:
            return part.choices[0].partition(" (")[0]
        return text


def together(questions: Iterable[Question]) -> tuple[Alike, ...]:
    """Questions with those that are answered in one go as one, the most money first."""
    families: dict[tuple[object, ...], list[Question]] = {}
    for one in questions:
        families.setdefault(_family(one), []).append(one)
    found = [Alike(_one_of(parts), tuple(parts)) for parts in families.values()]
    return tuple(
        sorted(found, key=lambda a: (-a.question.money, -a.question.rows_waiting, a.question.key))
    )


def part_said(part: Question) -> str:
    """What one of several is about, with what is suggested: "'Elm Electric' (perhaps sub)"."""
    if part.topic in ("tax", "crew"):
        return str(part.place)
    if part.topic == "twin":
        return f"{part.found} ({part.place})"
    if part.topic == "cost kind":
        return f"{part.found} (perhaps {part.choices[0]})"
    return f"'{part.found}'"


def _family(one: Question) -> tuple[object, ...]:
    """What the questions that are put as one have in common."""
    if one.topic not in _ASKED:
        return (one.key,)
    if one.topic == "job":
        return one.topic, tuple(c for c in one.choices if not c.startswith("leave"))
    if one.topic in ("cost kind", "twin"):
        return one.topic, one.place.file, one.place.sheet
    return (one.topic,)


def _one_of(parts: list[Question]) -> Question:
    first = parts[0]
    if len(parts) == 1:
        return first
    asked, until = _ASKED[first.topic]
    names = ", ".join(part_said(part) for part in parts[:_NAMED])
    more = f" and {len(parts) - _NAMED} more" if len(parts) > _NAMED else ""
    shared = [c for c in first.choices if all(c in part.choices for part in parts)]
    shared = [c for c in shared if not c.startswith(_OTHERS)]
    suggested = [f"{SUGGESTED} (what stands behind 'perhaps')"] * (first.topic == "cost kind")
    rows = sum(part.rows_waiting for part in parts)
    one = replace(
        first,
        key=f"{first.key} and {len(parts) - 1} more",
        text=f"{asked}: {names}{more}? {until}".strip(),
        choices=(f"{EACH} (one after the other)", *suggested, *shared),
        rows_waiting=rows,
        money=sum(part.money for part in parts),
        holds=say_count(rows, "row"),
        samples=(),
    )
    return held(one) if first.topic != "job" else one
