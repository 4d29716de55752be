"""What was read, guessed, set aside and asked: collected while reading, summed up for a person."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field, replace

from costlearn.errors import Place
from costlearn.records import FINDING_KINDS, Batch, Finding, Question

TAKEN_FOR = " is taken for "
"""What stands between a column's heading and its meaning in a finding."""

MOST_SAMPLES = 3
"""Cells that a question shows."""
_QUOTED = re.compile(r"'[^']*'")
_NUMBER = re.compile(r"\d[\d,.]*")


@dataclass(slots=True)
class Notes:
    """The findings of one reading, in the order they were made."""

    found: list[Finding] = field(default_factory=list)
    questions: dict[str, Question] = field(default_factory=dict)
    _told: set[Hashable] = field(default_factory=set)

    def add(
        self, kind: str, place: Place, text: str, raw: str = "", *, agrees: bool | None = None
    ) -> None:
        """Note something; of a sum that was checked, whether it agrees."""
        self.found.append(Finding(kind, place, text, raw, agrees))

    def slip(self, key: Hashable, place: Place, written: str, read: str) -> None:
        """Note once that a word was read as the known one that is one letter away."""
        if key not in self._told:
            self._told.add(key)
            text = f"'{written}' read as {read} (row {place.row}), one letter apart"
            self.found.append(Finding("understood", place, text, written, slip=True))

    def once(self, key: Hashable, kind: str, place: Place, text: str, raw: str = "") -> None:
        """Note something the first time it is met."""
        if key not in self._told:
            self._told.add(key)
            self.add(kind, place, text, raw)

    def ask(self, question: Question) -> None:
        """Put a question, or count one more row that waits for it."""
        known = self.questions.setdefault(question.key, question)
        if known is not question:
            self.waits(question.key, question.rows_waiting, question.money, question.samples)

    def waits(self, key: str, rows: int = 1, money: int = 0, samples: Sequence[str] = ()) -> None:
        """Count rows and cents more that wait for a question, if it was put."""
        known = self.questions.get(key)
        if known is not None:
            shown = tuple(dict.fromkeys((*known.samples, *samples)))[:MOST_SAMPLES]
            rows, money = known.rows_waiting + rows, known.money + money
            self.questions[key] = replace(known, rows_waiting=rows, money=money, samples=shown)


@dataclass(frozen=True, slots=True)
class SummaryLine:
    """Like findings as one line: how many, the first three places, and one of them in full."""

    kind: str
    text: str
    count: int
    first_places: tuple[Place, ...]
    example: Finding


def summary(batch: Batch) -> list[SummaryLine]:
    """The findings of a batch with like ones counted together, in the order of their kinds.

    Findings are alike if they are of one kind, sheet and column and differ only in the words in
    quotes and the figures they name.
    """
    groups: dict[tuple[str, str, str, str, str], list[Finding]] = {}
    for found in batch.findings:
        place = found.place
        key = (found.kind, place.file, place.sheet, place.column, _shape(found.text))
        groups.setdefault(key, []).append(found)
    lines = [_line(group) for group in groups.values()]
    return sorted(lines, key=lambda line: FINDING_KINDS.index(line.kind))


def brief(batch: Batch) -> list[SummaryLine]:
    """The summary with the columns understood of each sheet on one line, for a screen.

    Columns that were proposed or asked about keep lines of their own: a person must see them.
    """
    lines: list[SummaryLine] = []
    columns: dict[str, list[SummaryLine]] = {}
    for line in summary(batch):
        head, taken, _ = line.text.partition(TAKEN_FOR)
        if (
            line.kind == "understood"
            and not line.example.slip
            and taken
            and head == f"column '{line.example.raw}'"
        ):
            columns.setdefault(line.example.place.sheet, []).append(line)
        else:
            lines.append(line)
    return [_columns_line(group) for group in columns.values()] + lines


def _columns_line(group: list[SummaryLine]) -> SummaryLine:
    named = "; ".join(f"'{g.example.raw}' is {g.text.partition(TAKEN_FOR)[2]}" for g in group)
    first = group[0].example
    place = Place(first.place.file, first.place.sheet, first.place.row)
    return SummaryLine("understood", f"columns: {named}", len(group), (place,), first)


def _shape(text: str) -> str:
    return _NUMBER.sub("#", _QUOTED.sub("'…'", text))


def _line(group: list[Finding]) -> SummaryLine:
    first = group[0]
    text = first.text
    if len({f.text for f in group}) > 1:
        text += _likewise(group)
    places = tuple(f.place for f in group[:3])
    return SummaryLine(first.kind, text, len(group), places, first)


def _likewise(group: list[Finding]) -> str:
    """The other cells of which the same was found, the most frequent first, counted.

    ("; likewise 'DIIR' (255), 'PW' and 3 more").
    """
    counted = Counter(f.raw for f in group if f.raw)
    counted.pop(group[0].raw, None)
    if not counted or max(map(len, counted)) > 30:
        return f"; likewise in {len(group) - 1} more"
    shown = ", ".join(
        f"'{raw}'" + (f" ({n})" if n > 1 else "") for raw, n in counted.most_common(4)
    )
    rest = f" and {len(counted) - 4} more" if len(counted) > 4 else ""
    return f"; likewise {shown}{rest}"
