"""What only a person can say: how a question is named, which answers do, and what they change.

An answer holds for every file that raises the question: a word means the same wherever the firm
writes it. Questions about one sheet (its order of dates, its crew) name the sheet, those about a
column's heading the kind of table.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from costlearn.assembly.purchases import ONE, TWO
from costlearn.errors import InputProblem, Place
from costlearn.firm import DATE_ORDERS
from costlearn.intake.findings import MOST_SAMPLES
from costlearn.intake.targets import fold_heading, headings
from costlearn.intake.values.cells import read_number, read_percent
from costlearn.intake.values.clocks import read_pause
from costlearn.intake.values.numerals import MARKS
from costlearn.intake.values.progress import read_progress
from costlearn.records import Question
from costlearn.units import say_count
from costlearn.vocabulary import Vocabulary, fold

NONE = "none"
"""The answer that a word or column stands for nothing."""
OWN = "own"
"""The answer that a name is a job, or (with a name behind it) a phase, of its own."""
AGAIN = "ask again"
"""Takes an earlier answer back."""
PERSON_DAYS = "person-days"
NOT_A_COST = "transfer / not a cost"
"""The answer that lines of money are no cost of any kind."""
LEAVE_OUT = "leave it out"
"""The answer that something is not to be read."""

SHORTER, LONGER = "the shorter", "the longer"
"""The answers to which of two lengths a day's work between two times is."""

AREA_WORDS = {"square feet": "sqft", "square metres": "sqm"}
"""The units of a floor, in words, and as they are kept."""

MOST_PEOPLE = 50
MOST_TAX = 100


def key_of(topic: str, *parts: str) -> str:
    """The name of a question: the same word or sheet has the same name in every reading.

    A word is folded; where something stands (file, sheet, column) keeps its spelling.

    >>> key_of("phase", "Rough "), key_of("dates", "hours.csv", "", "Day")
    ('phase: rough', 'dates: hours.csv / Day')
    """
    if len(parts) == 1:
        return f"{topic}: {fold(parts[0]) or parts[0].strip()}"
    return f"{topic}: {' / '.join(' '.join(part.split()) for part in parts if part.strip())}"


@dataclass(frozen=True)
class Answers:
    """Answers by the keys of their questions, each in its settled form."""

    given: Mapping[str, str] = field(default_factory=dict)

    def get(self, topic: str, *parts: str) -> str | None:
        """What was said to a question, or None."""
        return self.given.get(key_of(topic, *parts)) if self.given else None

    def of(self, topic: str) -> dict[str, str]:
        """The answers of one topic by the word they are about."""
        start = f"{topic}: "
        return {k.removeprefix(start): v for k, v in self.given.items() if k.startswith(start)}

    def extend(self, vocabulary: Vocabulary) -> Vocabulary:
        """The vocabulary with every word that was explained."""
        if not self.given:
            return vocabulary
        phases: dict[str, list[str]] = {}
        for word, said in self.of("phase").items():
            if said != NONE:
                phases.setdefault(said, []).append(word)
        wider = vocabulary.with_phases(phases)
        explained = {word for words in phases.values() for word in words}

        def more(topic: str, key: str) -> tuple[str, ...]:
            return tuple(word for word, said in self.of(topic).items() if said == key)

        return replace(
            wider,
            items=tuple(replace(i, also=(*i.also, *more("scope", i.key))) for i in wider.items),
            cost_kinds=tuple(
                replace(k, words=(*k.words, *more("cost kind", k.key))) for k in wider.cost_kinds
            ),
            job_kinds=tuple(
                replace(k, words=(*k.words, *more("kind of job", k.key))) for k in wider.job_kinds
            ),
            ask={word: keys for word, keys in wider.ask.items() if word not in explained},
        )


def settle(
    question: Question, text: str, vocabulary: Vocabulary, jobs: Collection[str], place: Place
) -> str:
    """The settled form of an answer.

    Args:
        question: what was asked.
        text: what a person wrote.
        vocabulary: the words of the trade and of the firm.
        jobs: the names of the jobs on the firm's lists.
        place: where the answer stands, for a message.

    Raises:
        InputProblem: the text is no answer to the question; the choices are named.
    """
    said = " ".join(text.split())
    if fold(said) == AGAIN:
        return ""
    found = _SETTLERS[question.topic](said, vocabulary, jobs)
    if found is None:
        raise InputProblem(
            f"'{said}' is no answer to '{question.key}'",
            place=place,
            expected=" or ".join(question.choices),
        )
    return found


_HELD = {
    "phase": ("row", "without a phase"),
    "scope": ("job", "with an item that is left out"),
    "job": ("row", "of no known job"),
    "kind of job": ("job", "without a kind"),
    "state": ("job", "of which nobody knows how far they are"),
}
"""What waits for an answer, and how: of topics whose rows are met one by one."""


def held(question: Question) -> Question:
    """A question with what waits for it in words: "12 rows without a phase"."""
    what = _HELD.get(question.topic)
    if what is None:
        return question
    return replace(question, holds=f"{say_count(question.rows_waiting, what[0])} {what[1]}")


def merged(questions: Iterable[Question]) -> tuple[Question, ...]:
    """Questions of several files with those of one key together, the most money first."""
    found: dict[str, Question] = {}
    for one in questions:
        known = found.get(one.key)
        found[one.key] = held(one if known is None else _together(known, one))
    return tuple(sorted(found.values(), key=lambda q: (-q.money, -q.rows_waiting, q.key)))


def _together(known: Question, one: Question) -> Question:
    return replace(
        known,
        rows_waiting=known.rows_waiting + one.rows_waiting,
        money=known.money + one.money,
        choices=tuple(dict.fromkeys((*known.choices, *one.choices))),
        samples=tuple(dict.fromkeys((*known.samples, *one.samples)))[:MOST_SAMPLES],
    )


Settler = Callable[[str, Vocabulary, Collection[str]], str | None]


def _phase(said: str, vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    start, _, own = said.partition(":")
    if fold(own) == "name":
        # The choice as it is worded: nobody put a name in its place.
        return None
    if fold(start) == OWN and fold(own):
        return fold(own).replace(" ", "_").replace("&", "and").replace("+", "and")
    if fold(said) == NONE:
        return NONE
    return None if fold(said) in vocabulary.ask else vocabulary.phase_words.get(fold(said))


def _scope(said: str, vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    keys = vocabulary.scope_words.get(fold(said.partition(" (")[0]), ())
    return NONE if fold(said) == NONE else keys[0] if len(keys) == 1 else None


def _column(said: str, _vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    if fold(said) == NONE:
        return NONE
    known = {word for table in headings().fields.values() for word in table}
    return fold_heading(said) if fold_heading(said) in known | set(headings().measures) else None


def _job(said: str, _vocabulary: Vocabulary, jobs: Collection[str]) -> str | None:
    if fold(said) in (OWN, fold(LEAVE_OUT)):
        return OWN if fold(said) == OWN else LEAVE_OUT
    found = next((name for name in jobs if name.casefold() == said.casefold()), None)
    # A choice taken by its number comes without what stands in brackets behind it.
    begun = [name for name in jobs if name.partition(" (")[0].casefold() == said.casefold()]
    return found or (begun[0] if len(begun) == 1 else None)


def _order(said: str, _vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    word = fold(said).replace(" ", "-")
    return word if word in DATE_ORDERS else None


def _crew(said: str, _vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    if fold(said).replace(" ", "-") == PERSON_DAYS:
        return PERSON_DAYS
    people = read_number(said).value
    return f"{people:g}" if people is not None and 0 < people <= MOST_PEOPLE else None


def _unit(said: str, _vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    known = AREA_WORDS.get(said.casefold()) or headings().units.get(fold_heading(said))
    return known if known in AREA_WORDS.values() else None


def _tax(said: str, _vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    if fold(said) == NONE:
        return "0"
    # No tax is thousands of percent: "14,975 %" has a decimal comma.
    shares = (_share(said, decimal) for decimal in MARKS)
    return next((repr(share) for share in shares if share is not None), None)


def _share(said: str, decimal: str) -> float | None:
    """A rate of tax as a share of the net, or None if it can be none."""
    read = read_percent if "%" in said else read_number
    share = read(said, decimal=decimal).value
    if share is not None and 1 <= share < MOST_TAX:
        # A bare "13" is a rate in percent: no tax takes the whole price and more.
        share = round(share / 100, 12)
    return share if share is not None and 0 <= share < 1 else None


def _currency(said: str, _vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    return said.upper() if len(said) == 3 and said.isascii() and said.isalpha() else None


def _headings(said: str, _vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    """Headings of all columns of a sheet, parted by commas; "-" for a column of no use."""
    if fold(said) == LEAVE_OUT:
        return LEAVE_OUT
    known = {word for table in headings().fields.values() for word in table}
    known |= set(headings().measures)
    heads = [" ".join(head.split()) for head in said.split(",")]
    fine = all(head == "-" or fold_heading(head) in known for head in heads)
    return ", ".join(heads) if fine and len(heads) > 1 else None


def _one_of(*known: str) -> Settler:
    """An answer that is one of a few."""
    words = {fold(word): word for word in known}
    return lambda said, _words, _jobs: words.get(fold(said))


def _cost_kind(said: str, vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    if fold(said) in (fold(NOT_A_COST), *map(fold, NOT_A_COST.split("/"))):
        return NOT_A_COST
    return vocabulary.cost_words.get(fold(said))


def _sheet_job(said: str, vocabulary: Vocabulary, jobs: Collection[str]) -> str | None:
    """The job of a sheet: its own name, one on file, or another that is named."""
    start, _, named = said.partition(":")
    if fold(start) == OWN and fold(named) and fold(named) != "name":
        return " ".join(named.split())
    return LEAVE_OUT if fold(said) == LEAVE_OUT else _job(said, vocabulary, jobs)


def _how_far(said: str, _vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    """A share of the work: "70%", "half", "not started"."""
    share = read_progress(said).value
    return LEAVE_OUT if fold(said) == LEAVE_OUT else None if share is None else repr(share)


def _minutes(said: str, _vocabulary: Vocabulary, _: Collection[str]) -> str | None:
    """The length of a break in minutes: "30", "1/2 hour", "none"."""
    pause = read_pause(said).value
    return None if pause is None else f"{60 * pause:g}"


_SETTLERS: Mapping[str, Settler] = {
    "headings": _headings,
    "jobs of a list": _one_of("finished", "running", "quoted"),
    "job of a sheet": _sheet_job,
    "copies": _one_of("one record", "all count"),
    "clock": _one_of("hours worked", "times of day"),
    "price of a quote": _one_of("what the lines come to", "what the total says", LEAVE_OUT),
    "how far": _how_far,
    "part of a line": _one_of("cost", "price", "finished", "started", "quoted", LEAVE_OUT),
    "each": _one_of("each", "together", LEAVE_OUT),
    "stretch": _one_of(SHORTER, LONGER, LEAVE_OUT),
    "people": _one_of("people", LEAVE_OUT),
    "overtime": _one_of("already in them", "on top of them"),
    "break": _minutes,
    "total": _one_of("a total", "a row of its own"),
    "rows of a job": _one_of(
        "add them up", "the first counts", "the last counts", "leave them out"
    ),
    "phase": _phase,
    "scope": _scope,
    "column": _column,
    "job": _job,
    "dates": _order,
    "crew": _crew,
    "unit": _unit,
    "tax": _tax,
    "currency": _currency,
    "twin": _one_of(ONE, TWO),
    "sign": _one_of("money spent", "money received", "leave this file out"),
    "cost kind": _cost_kind,
    "kind of job": lambda said, words, _: {NONE: NONE, **words.job_words}.get(fold(said)),
    "state": lambda said, _words, _: {NONE: NONE, **headings().states}.get(fold(said)),
    "state of a change": lambda said, _words, _: headings().change_states.get(fold(said)),
}
"""How the answers of each topic are understood; None for what is no answer."""


def phase_choices(near: Iterable[str], vocabulary: Vocabulary) -> tuple[str, ...]:
    """Answers that do for a phase word: the likely phases first, then the way to any other."""
    likely = dict.fromkeys(vocabulary.phase_name(key) for key in near)
    names = likely or dict.fromkeys(p.name for p in vocabulary.phases)
    rest = ("any other phase",) if likely else ()
    own = f"{OWN}: NAME (a phase of your own)"
    return (*names, *rest, own, f"{NONE} (no phase: in the job's total only)")


def job_choices(likely: Iterable[str], rows: str) -> tuple[str, ...]:
    """Answers that do for the name of a job: the likely jobs first."""
    rest = () if likely else ("the name of another job",)
    return (*likely, *rest, f"{OWN} (a job of its own)", f"{LEAVE_OUT} ({rows} count nowhere)")


def scope_choices(likely: Iterable[str], jobs: str) -> tuple[str, ...]:
    """Answers that do for a scope word: the likely items first, and what follows from them."""
    names = tuple(f"{name} (goes into the scope of {jobs})" for name in likely)
    return (*names, "any other scope item", f"{NONE} (leave it out)")
