"""A filled-in answer sheet beside what a book asks: what is taken, what is stale, what is wrong."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from costlearn.cli import effects
from costlearn.cli.sources import answers_of
from costlearn.errors import InputProblem, Place

if TYPE_CHECKING:
    from costlearn.book.kept import Answered
    from costlearn.book.store import Book
    from costlearn.intake.answer_sheet import Given
    from costlearn.records import Question
    from costlearn.vocabulary import Vocabulary

STALE = (
    "no such question is open any more: its file was changed or taken out, or another answer "
    "settled it"
)


@dataclass(frozen=True, slots=True)
class Filled:
    """The rows of a sheet, each in one of four lists, so that none is lost.

    Attributes:
        taken: answers to keep and apply.
        again: answers that the book has already, as they stand on the sheet.
        stale: rows whose question is gone, each with the reason.
        wrong: what is the matter with rows that are no answer to a question that is there.
    """

    taken: tuple[Answered, ...] = ()
    again: tuple[Given, ...] = ()
    stale: tuple[Given, ...] = ()
    wrong: tuple[InputProblem, ...] = ()


def from_sheet(kept: Book, sheet: Path, asked: Iterable[Question]) -> Filled:
    """The answers of a sheet, row by row; a row that does not do keeps no other out.

    Args:
        kept: the book.
        sheet: the answer sheet.
        asked: what waits in the book.

    Raises:
        UnreadableFile: the sheet cannot be read as a table.
        InputProblem: it is no answer sheet.
    """
    from costlearn.book.kept import Answered
    from costlearn.intake.answer_sheet import read_sheet

    earlier = {one.question.key: one for one in kept.answers()}
    known = {key: one.question for key, one in earlier.items()} | {q.key: q for q in asked}
    rows = read_sheet(sheet)
    alike: dict[str, list[Given]] = {}
    for given in rows:
        alike.setdefault(given.key, []).append(given)
    wrong = {g.place: problem for g in rows if (problem := _in_itself(g, alike[g.key]))}
    stale = [g for g in rows if g.place not in wrong and g.key not in known]
    taken: dict[str, Answered] = {}
    again: list[Given] = []
    left = [g for g in rows if g.place not in wrong and g.key in known]
    # An answer may name what another row of the sheet explains: rows are tried again with it.
    while left:
        said = {key: one.said for key, one in taken.items()}
        words, jobs = _words(kept, said)
        still: list[Given] = []
        for given in left:
            question = known[given.key]
            try:
                text = _settled(question, given, words, jobs)
            except InputProblem as problem:
                wrong[given.place] = problem
                still.append(given)
                continue
            wrong.pop(given.place, None)
            if given.key in earlier and earlier[given.key].said == text:
                again.append(given)
            else:
                taken[given.key] = Answered(question, text, given.insisted)
        left = still if len(still) < len(left) else []
    kept_back = _absurd(kept, taken, rows)
    wrong |= kept_back
    in_order = tuple(wrong[g.place] for g in rows if g.place in wrong)
    refused = {g.key for g in rows if g.place in kept_back}
    sound = tuple(one for key, one in taken.items() if key not in refused)
    return Filled(sound, tuple(again), tuple(stale), in_order)


def _absurd(
    kept: Book, taken: Mapping[str, Answered], rows: Iterable[Given]
) -> dict[Place, InputProblem]:
    """What is the matter with answers by which a figure of a job would be absurd.

    An answer with the mark that insists is never among them.
    """
    from costlearn.intake.answer_sheet import INSISTED

    found: dict[Place, InputProblem] = {}
    sound = [one for one in taken.values() if one.insisted]
    if effects.consequence(kept, [o for o in taken.values() if not o.insisted], sound) is None:
        return {}
    for key, one in taken.items():
        if one.insisted:
            continue
        said = effects.consequence(kept, [one], sound)
        if said is None:
            sound.append(one)
            continue
        for given in (g for g in rows if g.key == key):
            hint = f"if it is right, write '{given.text}{INSISTED}'"
            found[given.place] = InputProblem(said, place=given.place, hint=hint)
    return found


def settled(kept: Book, question: Question, text: str, place: Place) -> str:
    """The settled form of an answer to a question of a book.

    Raises:
        InputProblem: it is no answer to the question.
    """
    from costlearn.intake.answers import settle

    words, jobs = _words(kept, {})
    return settle(question, _bare(question, text), words, jobs, place)


def _bare(question: Question, text: str) -> str:
    """A choice without what explains it; any other answer as it is."""
    chosen = " ".join(text.split()).casefold() in {c.casefold() for c in question.choices}
    return text.partition(" (")[0] if chosen else text


def _settled(question: Question, given: Given, words: Vocabulary, jobs: Collection[str]) -> str:
    from costlearn.intake.answers import settle

    return settle(question, _bare(question, given.text), words, jobs, given.place)


def _words(kept: Book, more: Mapping[str, str]) -> tuple[Vocabulary, list[str]]:
    """The words of the firm with all that was explained, and the names of its jobs."""
    from costlearn.vocabulary import standard

    listed, _ = kept.job_names()
    words = answers_of(kept, more).extend(standard().with_phases(kept.firm().phase_words))
    return words, [name for name, *_ in listed]


def _in_itself(given: Given, alike: Iterable[Given]) -> InputProblem | None:
    """What is wrong with a row, beside those of the same id, before its question is looked at."""
    if not given.key:
        return InputProblem(
            f"found '{given.text}' in a row with no id",
            place=given.place,
            expected="an answer beside the id of its question",
        )
    other = next((row for row in alike if row.text != given.text), None)
    if other is None:
        return None
    return InputProblem(
        f"'{given.key}' is answered '{given.text}' here and '{other.text}' in row "
        f"{other.place.row}",
        place=given.place,
        expected="one answer",
    )
