"""One line somebody typed about a job, parted into what each piece of it says.

"Fir Lane ensuite, 76 sq ft, heated floor 35, 25 days 2 men, 33-35k all in, finished 12 Feb 2026":
pieces stand between commas or semicolons, the job's name comes first. A piece is what it reads as;
one that could be two things is left open for a person, and what nobody knows is kept as a note.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from costlearn.firm import DATE_ORDERS, Firm
from costlearn.intake.kinds import kind_in_name
from costlearn.intake.scope import MOST_PARTS, read_scope
from costlearn.intake.targets import headings
from costlearn.intake.values.days import read_day
from costlearn.intake.values.money import read_money
from costlearn.intake.values.numerals import tidy
from costlearn.intake.values.sizes import read_area
from costlearn.intake.values.stints import Stint, read_stint
from costlearn.intake.values.tokens import Token, lex, lexicon
from costlearn.vocabulary import Vocabulary, fold

AMOUNT, DAY = "amount", "day"
"""What a piece is whose words do not say what it is of."""
LONGEST_LINE = 4_000
"""A line is typed; a longer text is something else."""

_WORDS = lexicon(
    cost="all in|cost|costs|it cost|cost us|cost me|cost is|cost of|came to|came in at|spent"
    "|our cost|my cost|direct cost|total cost|costing",
    price="charged|we charged|i charged|price|priced at|sold for|sold at|sold|contract"
    "|contract price",
    paid="paid|client paid|they paid|got paid|we got paid|billed|invoiced|we billed",
    quote="quoted|quote|quoted at",
    plan="planned|plan|planned at|budget|budgeted|estimated|estimate|figured|planned cost",
    finish="finished|finish|done|completed|complete|ended|wrapped up",
    start="started|start|began|begun",
    built="built|built in|house built|house built in|house from|house of|year built|house|from",
    size="area|size|floor area|room",
    filler="on|:|=|it|was|is|at|in|for",
)
_ROLES = frozenset(
    ("cost", "price", "paid", "quote", "plan", "finish", "start", "built", "size", "filler")
)
_COMMA = re.compile(r";|\n|,(?!\d)|(?<!\d),")
"""Where pieces part: never inside "$36,000"."""
_BRACKETS = re.compile(r"\([^()]*\)")
_TAKES_YEAR = re.compile(r".*[a-z]+\.? \d{1,2}(?:st|nd|rd|th)?", re.IGNORECASE)
_YEAR = re.compile(r"(?:19|20)\d\d\b.*")
_MONEY = re.compile(r"[$€£]|\d ?k\b|\d,\d{3}|\b(?:usd|cad|cdn)\b|\d\.\d\d\b", re.IGNORECASE)
"""What makes a figure money even where no word says so."""
_BARE_MONEY = re.compile(r"[1-9]\d{3,6}")
_LARGE = re.compile(r"\d{4,}")
"""More than any part of a job measures."""
_SPAN = re.compile(r"(?P<first>.+?)\s*(?:\bto\b|\buntil\b|\btill\b|–|\s-\s)\s*(?P<last>.+)")
_SIZED = re.compile(r"\s(?=[\d.])")
_CONDO = frozenset(("condo", "in a condo", "condominium", "apartment", "in an apartment"))
_DATED = frozenset(("no year", "no day", "year only"))
_SETTLED = {
    "finish": "finished",
    "start": "started",
    "quote": "quoted_on",
    "cost": "actual.cost",
    "price": "price",
    "paid": "paid",
}


@dataclass(slots=True)
class Parted:
    """What a line says.

    Attributes:
        name: the job's name, "" where the line begins with something else.
        cells: the text of each figure by its field ("actual.cost": "33-35k").
        open: pieces that only a person can place, each :data:`AMOUNT` or :data:`DAY`.
        scope: pieces that list the work.
        notes: pieces nobody knows, kept as they are.
        twice: pieces that say again what another piece said, differently; kept as notes too.
        quoted: a word says that the job was quoted.
    """

    name: str = ""
    cells: dict[str, str] = field(default_factory=dict)
    open: dict[str, str] = field(default_factory=dict)
    scope: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    twice: list[str] = field(default_factory=list)
    quoted: bool = False


def part_line(text: str, words: Vocabulary, firm: Firm, *, name: str = "") -> Parted:
    """The pieces of a line by what they say.

    Args:
        text: the line.
        words: the words of the trade and of the firm.
        firm: hours in a day, unit of areas, people.
        name: the job's name, where it stands apart from the line.

    >>> from costlearn.vocabulary import standard
    >>> part_line("Fir Lane ensuite, 76 sq ft, 33-35k all in", standard(), Firm()).cells
    {'area': '76 sq ft', 'actual.cost': '33-35k'}
    """
    found = Parted(name)
    reader = _Pieces(words, firm, found)
    pieces = _pieces(text)
    if not name and pieces and not reader.is_figure(pieces[0]):
        first = pieces.pop(0)
        found.name, size = reader.parted_name(first)
        pieces = [*([size] if size else []), *pieces]
    for piece in pieces[:MOST_PARTS]:
        reader.take(piece)
    found.notes += pieces[MOST_PARTS:]
    reader.close()
    return found


def _pieces(text: str) -> list[str]:
    """The pieces of a line; a comma within brackets or a figure parts nothing."""
    whole = tidy(text[:LONGEST_LINE])
    hidden = _BRACKETS.sub(lambda m: m[0].replace(",", "\0").replace(";", "\1"), whole)
    parts = [part.replace("\0", ",").replace("\1", ";").strip() for part in _COMMA.split(hidden)]
    pieces: list[str] = []
    for part in filter(None, parts):
        if pieces and _YEAR.fullmatch(part) and _TAKES_YEAR.fullmatch(pieces[-1]):
            pieces[-1] += f", {part}"
        else:
            pieces.append(part)
    return pieces


class _Pieces:
    """Reads the pieces of one line in turn, each beside those before it."""

    def __init__(self, words: Vocabulary, firm: Firm, into: Parted) -> None:
        self.words = words
        self.firm = firm
        self.into = into
        self.crew = ""
        self.side = "actual"

    def is_figure(self, piece: str) -> bool:
        """Whether the first piece is no name but says something of a job already."""
        trial = _Pieces(self.words, self.firm, Parted())
        roles, middle = _roles(piece)
        work = fold(piece) in self.words.item_words and not kind_in_name(piece, self.words)
        return work or trial._figure(piece, roles, middle) or trial._sized_kind(piece)

    def parted_name(self, piece: str) -> tuple[str, str]:
        """The name in the first piece, and the size that stands behind it ("" if none)."""
        for cut in _SIZED.finditer(piece):
            name, size = piece[: cut.start()], piece[cut.end() :]
            if self._area(size):
                return name, size
        return piece, ""

    def take(self, piece: str) -> None:
        """Put a piece where it belongs."""
        roles, middle = _roles(piece)
        carried = self.side == "plan" and not roles
        self.side = "plan" if "plan" in roles else "actual"
        if carried:
            self.side = "plan"
        if self._figure(piece, roles, middle):
            return
        self.side = "actual"
        if self._sized_kind(piece) or self._word(piece):
            return
        self._work(piece)

    def _work(self, piece: str) -> None:
        """A part of the work; a remark in brackets, or a figure that is no size, is a note."""
        work = piece
        if _MONEY.search(piece) or _LARGE.search(piece) or len(_COMMA.split(piece)) > 1:
            work = " ".join(_BRACKETS.sub(" ", piece).split())
        sized = _MONEY.search(work) or _LARGE.search(work)
        reading = read_scope(work, self.words, area_unit=self.firm.area_unit)
        if sized or not (reading.items or any(one.likely for one in reading.unknown)):
            self.into.notes.append(piece)
            return
        self.into.scope.append(work)
        if work != piece:
            self.into.notes.append(piece)

    def close(self) -> None:
        """What is known only when the whole line was seen."""
        cells = self.into.cells
        if self.crew:
            self._put("crew", self.crew)
        if "price" not in cells and "paid" in cells:
            cells["price"] = cells.pop("paid")

    def _figure(self, piece: str, roles: frozenset[str], middle: str) -> bool:
        return (
            self._state(piece, roles, middle)
            or self._dated(roles, middle)
            or self._sized(roles, middle)
            or self._timed(piece, middle)
            or self._money(roles, middle)
        )

    def _state(self, piece: str, roles: frozenset[str], middle: str) -> bool:
        """A word that says how far the job is, and nothing else."""
        state = headings().states.get(fold(piece))
        if state is None and not middle and "finish" in roles:
            state = "finished"
        if state is None:
            return False
        self._put("state", state)
        return True

    def _dated(self, roles: frozenset[str], middle: str) -> bool:
        """A day, the year a house was built, or first and last day."""
        if "built" in roles and _YEAR.fullmatch(middle) and middle.isdigit():
            self._put("house_year", middle)
            return True
        span = _SPAN.fullmatch(middle)
        if span and self._is_day(span["last"]) and self._is_day(span["first"], loose=True):
            year = _YEAR.search(span["last"])
            first = span["first"].removeprefix("from ")
            self._put("started", first if self._is_day(first) or not year else f"{first} {year[0]}")
            self._put("finished", span["last"])
            return True
        named = next((_SETTLED[r] for r in ("finish", "start", "quote") if r in roles), "")
        if not self._is_day(middle, loose=bool(named)):
            return False
        if named == "finished":
            named = "plan.finished" if "plan" in roles else named
            if named == "finished":
                self._put("state", "finished")
        if named == "quoted_on":
            self.into.quoted = True
        if named:
            self._put(named, middle)
        else:
            self.into.open[middle] = DAY
        return True

    def _is_day(self, text: str, *, loose: bool = False) -> bool:
        if text.isdigit() and not loose:
            return False
        read = [read_day(text, order=order) for order in DATE_ORDERS]
        return any(r.value for r in read) or (loose and any(r.code in _DATED for r in read))

    def _sized(self, roles: frozenset[str], middle: str) -> bool:
        if not self._area(middle) and not ("size" in roles and middle.isdigit()):
            return False
        self._put("area", middle)
        return True

    def _area(self, text: str) -> bool:
        read = read_area(text, unit=None, firm_unit=self.firm.area_unit)
        return read.value is not None

    def _timed(self, piece: str, middle: str) -> bool:
        """Days or hours and who worked them, also where the people stand apart."""
        key = f"{self.side}.days"
        stint = self._stint(middle)
        if stint is not None:
            if self.crew and stint.crew is None:
                middle, self.crew = f"{middle}, {self.crew}", ""
            self._put(key, middle)
            return True
        alone = self._stint(f"1 day, {piece}")
        if alone is None or alone.crew is None:
            return False
        for known in (key, "actual.days", "plan.days"):
            before = self._stint(self.into.cells.get(known, ""))
            if before is not None and before.crew is None:
                self.into.cells[known] += f", {piece}"
                return True
        self.crew = piece
        return True

    def _stint(self, text: str) -> Stint | None:
        """Days or hours that a text says all through."""
        # Any word may be a name where a firm has named nobody; in a line most words are work.
        people = self.firm.people or ("\0",)
        per_day = self.firm.hours_per_day
        reading = read_stint(text, unit=None, hours_per_day=per_day, people=people)
        return None if reading.rest else reading.value

    def _money(self, roles: frozenset[str], middle: str) -> bool:
        """An amount, and what it is of; where no word says it, a person is asked."""
        sides = roles & {"cost", "price", "paid", "quote", "plan"}
        plain = _BARE_MONEY.fullmatch(middle) is not None
        if not plain and not _MONEY.search(middle):
            return False
        reading = read_money(
            middle, ranges=True, net_only=True, firm_currency=self.firm.currency, tax_rate=0.0
        )
        if reading.value is None and reading.code in ("unreadable", "by the piece"):
            return False
        if "quote" in sides:
            self.into.quoted = True
        if "cost" in sides or (not sides & {"price", "paid", "quote"} and self.side == "plan"):
            planned = self.side == "plan" or "quote" in sides
            self._put("plan.cost" if planned else "actual.cost", middle)
        elif sides:
            self._put("paid" if "paid" in sides else "price", middle)
        else:
            self.into.open[middle] = AMOUNT
        return True

    def _sized_kind(self, piece: str) -> bool:
        """A size and a kind of job in one piece ("76 sq ft ensuite")."""
        parts = piece.split()
        for cut in range(len(parts) - 1, 0, -1):
            size, kind = " ".join(parts[:cut]), " ".join(parts[cut:])
            if self._area(size) and fold(kind) in self.words.job_words:
                self._put("area", size)
                self._put("kind", kind)
                return True
        return False

    def _word(self, piece: str) -> bool:
        """A kind of job, a grade of finish, a flat."""
        folded = fold(piece)
        grade = re.sub(r"^(?:grade|finishes|finish) | (?:grade|finishes|finish)$", "", folded)
        if folded in self.words.job_words:
            self._put("kind", piece)
        elif grade in headings().grades and not grade.isdigit():
            self._put("grade", grade)
        elif folded in _CONDO:
            self._put("condo", "yes")
        else:
            return False
        return True

    def _put(self, key: str, text: str) -> None:
        known = self.into.cells.setdefault(key, text)
        if fold(known) != fold(text):
            self.into.twice.append(text)


def _roles(piece: str) -> tuple[frozenset[str], str]:
    """What the words before and behind the figure of a piece say of it, and the figure."""
    tokens: Sequence[Token] = lex(piece, ".", _WORDS)
    start, end = 0, len(tokens)
    while start < end and tokens[start].kind in _ROLES | {":", "="}:
        start += 1
    while end > start and tokens[end - 1].kind in _ROLES:
        end -= 1
    around = frozenset(t.kind for t in (*tokens[:start], *tokens[end:]))
    middle = piece[tokens[start].start : tokens[end - 1].end] if start < end else ""
    return around - {"filler", ":", "="}, middle


def cells_for_quote(cells: Mapping[str, str]) -> dict[str, str]:
    """The cells of a line about a job not begun: its days and cost are what is planned."""
    moved = {key: text for key, text in cells.items() if not key.startswith("actual.")}
    for key, text in cells.items():
        if key.startswith("actual."):
            moved.setdefault(key.replace("actual.", "plan."), text)
    return moved
