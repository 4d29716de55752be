"""How well records whose meaning is known get into a book: each figure right, asked, or wrong.

By hand: ``python tests/truth/scoring.py [case ...]`` prints a table; ``--firm FOLDER`` and
``--public FOLDER`` score a firm's whole records and public files kept outside this repository.

A figure is RIGHT; MISSING-ASKED (not on file, and a question or finding names its file, and its row
or column); REFUSED (not on file, its file was refused as a whole in words); MISSING-SILENT; or
WRONG: on file and another one. A case is *wrong* with any wrong figure, *right* with none but right
ones and no more questions than a person would think fair, *refused* or *silent* where figures are
missing so, else *asked*.
"""

from __future__ import annotations

import argparse
import re
import sys
import tempfile
import tomllib
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
for folder in (HERE.parents[1], HERE.parent):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))

from truth.figures import Held, held_by  # noqa: E402
from truth.making import cells_of, make  # noqa: E402

from costlearn.book.store import Book  # noqa: E402
from costlearn.cli.sources import answers_of, set_firm, source_of  # noqa: E402
from costlearn.cli.waiting import all_questions  # noqa: E402
from costlearn.errors import CostlearnError  # noqa: E402
from costlearn.firm import Firm  # noqa: E402
from costlearn.intake.alike import together  # noqa: E402
from costlearn.intake.reader import read_file  # noqa: E402
from costlearn.records import CostEntry, Finding, Question, job_key  # noqa: E402

CASES = HERE / "cases"
RIGHT, ASKED, REFUSED, SILENT, WRONG = "right", "asked", "refused", "silent", "WRONG"
SPEAKING = ("asked", "set aside")
"""Kinds of findings that name what is not used."""
ROUGHLY = 0.03
"""How far a figure marked as rough may lie from the exact one."""
CLOSE = {"area": 0.5, "site_days": 0.02, "person_days": 0.02, "wait_days": 0.02, "crew": 0.02}
MONEY = ("cost", "price", "quote_price", "quote_cost", "receipts", "changes")


@dataclass(frozen=True)
class Line:
    """One figure: what it should be, what was found, and how that is judged."""

    job: str
    figure: str
    verdict: str
    found: Any
    expected: Any

    def __str__(self) -> str:
        return f"{self.job}: {self.figure} is {self.found!r}, expected {self.expected!r}"


@dataclass
class Score:
    """One case read in one way."""

    name: str
    allowed: int
    asked: int = 0
    lines: list[Line] = field(default_factory=list)
    questions: tuple[Question, ...] = ()
    refused: dict[str, str] = field(default_factory=dict)

    def of(self, verdict: str) -> list[Line]:
        """The figures judged so."""
        return [line for line in self.lines if line.verdict == verdict]

    @property
    def verdict(self) -> str:
        """The case as a whole."""
        for kind in (WRONG, SILENT, REFUSED, ASKED):
            if self.of(kind):
                return kind
        return RIGHT if self.asked <= self.allowed else ASKED


@dataclass
class Reading:
    """What a book made of some files."""

    held: list[Held]
    entries: list[Any]
    findings: list[Finding]
    questions: tuple[Question, ...]
    refused: dict[str, str]


def firm_of(stated: dict[str, Any]) -> Firm:
    """The settings of a case, those that costlearn has a place for."""
    known = {one.name for one in fields(Firm)}
    values = dict(stated)
    orders = {"MDY": "month-first", "DMY": "day-first"}
    if "date_order" in values:
        values["date_order"] = orders[values["date_order"]]
    if "area_unit" in values:
        values["area_unit"] = {"sq ft": "sqft", "m2": "sqm"}.get(values["area_unit"], "sqft")
    return Firm().changed({k: v for k, v in values.items() if k in known})


def read_in(paths: Sequence[Path], firm: Firm) -> Reading:
    """Files in a new book, in their order, as ``costlearn import`` reads them."""
    refused: dict[str, str] = {}
    with Book.in_memory() as kept:
        set_firm(kept, firm)
        for path in paths:
            try:
                batch = read_file(path, kept.firm(), answers=answers_of(kept))
                kept.add(batch, path, source_of(path, None))
            except CostlearnError as problem:
                refused[path.name] = str(problem)
        entries = list(kept.entries())
        held = held_by(kept.history(), entries)
        return Reading(held, entries, list(kept.findings()), all_questions(kept), refused)


def score(case: dict[str, Any], name: str, *, workbooks: bool = False) -> Score | None:
    """One case; None if it cannot be read this way (see :func:`truth.making.make`)."""
    with tempfile.TemporaryDirectory() as folder:
        paths = make(case["file"], Path(folder), workbooks=workbooks)
        if paths is None:
            return None
        reading = read_in(paths, firm_of(case.get("firm", {})))
    return judge(case, reading, name, Sheets.of(case, workbooks=workbooks))


@dataclass
class Sheets:
    """The cells of a case, to find the rows and columns a figure of a job may stand in."""

    rows: list[tuple[str, int, list[str]]]
    """File, number of the row in its sheet, its cells."""

    @classmethod
    def of(cls, case: dict[str, Any], *, workbooks: bool) -> Sheets:
        """All sheets of all files."""
        found: list[tuple[str, int, list[str]]] = []
        for one in case["file"]:
            name = one["name"]
            if workbooks and "text" in one:
                name = str(Path(name).with_suffix(".xlsx"))
            for text in [one["text"]] if "text" in one else [s["text"] for s in one["sheet"]]:
                signs = None if "text" in one or len(one["sheet"]) == 1 else ","
                found += [(name, n, row) for n, row in enumerate(cells_of(text, signs), 1)]
        return cls(found)

    def of_job(self, name: str) -> list[tuple[str, int, list[str]]]:
        """The rows that name a job, and those that follow without a name in the same column."""
        key = job_key(name)
        found = []
        column, file = -1, ""
        for where, number, row in self.rows:
            at = [i for i, cell in enumerate(row) if key and key in job_key(cell)]
            goes_on = where == file and 0 <= column < len(row) and not row[column].strip()
            if at:
                column, file = at[0], where
            if at or goes_on:
                found.append((where, number, row))
            elif where != file or (column >= 0 and not goes_on):
                column = -1
        return found

    def headings(self, file: str, value: Any, rows: Iterable[Sequence[str]]) -> set[str]:
        """What stands above the cells of some rows that show a value; empty if none does."""
        at = {i for row in rows for i, cell in enumerate(row) if shows(cell, value)}
        above = [row for where, _, row in self.rows if where == file]
        return {row[i].strip() for row in above for i in at if i < len(row) and row[i].strip()}


def shows(cell: str, value: Any) -> bool:
    """Whether a cell may be where a value was written."""
    if isinstance(value, list | tuple):
        return any(shows(cell, one) for one in value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return isinstance(value, str) and value[:10] in cell
    numbers = [float(n.replace(",", "")) for n in re.findall(r"\d[\d,]*(?:\.\d+)?", cell)]
    return any(abs(n * k - value) < 0.006 for n in numbers for k in (1, 1000, 5))


def judge(case: dict[str, Any], reading: Reading, name: str, sheets: Sheets) -> Score:
    """Compare what a book holds with the truth, figure by figure."""
    truth = case["truth"]
    result = Score(
        name, truth.get("questions_at_most", 0), len(together(reading.questions)),
        questions=reading.questions, refused=reading.refused,
    )  # fmt: skip
    by_key = {one.key: one for one in reading.held}
    known = set()
    for job in truth.get("job", []):
        key = next((k for k in _keys(job) if k in by_key), None) or _numbered(job, reading)
        known.add(key)
        fair = [one for one in truth.get("fair", []) if one["job"] == job["name"]]
        result.lines += _judge_job(job, by_key.get(key), reading, sheets, fair)
    for held in reading.held:
        if held.key not in known:
            waits = any(job_key(q.found) == held.key for q in reading.questions)
            if not waits:
                what = {k: v for k, v in held.figures.items() if k != "kind"}
                result.lines.append(Line(held.name, "job", WRONG, what, "no such job"))
    result.lines += _never(truth, reading, known, by_key)
    if truth.get("waits") and not (reading.questions or reading.refused or _spoken(reading)):
        result.lines.append(Line("", "waits", SILENT, None, truth["waits"][0]))
    return result


def _keys(job: dict[str, Any]) -> list[str]:
    return [job_key(one) for one in (job["name"], *job.get("aliases", []))]


def _numbered(job: dict[str, Any], reading: Reading) -> str:
    """The key of a job on file under its name with its running number before it."""
    keys = _keys(job)
    bare = {re.sub(r"^\W*\d+\W+", "", one.name): one.key for one in reading.held}
    return next((key for name, key in bare.items() if job_key(name) in keys), keys[0])


def _spoken(reading: Reading) -> bool:
    """Whether anything at all was said to be unclear."""
    return any(one.kind in (*SPEAKING, "checked") for one in reading.findings)


def _judge_job(
    job: dict[str, Any], held: Held | None, reading: Reading, sheets: Sheets, fair: list[Any]
) -> list[Line]:
    """The figures of one job."""
    name = job["name"]
    wanted = expected_of(job)
    figures = held.figures if held else {}
    fair = [*fair, *_board(name, wanted, figures)]
    lines = []
    for figure, value in wanted.items():
        found = figures.get(figure)
        others = [one.get("values", []) for one in fair if one["figure"] == figure]
        values = [value, *(v for one in others for v in one)]
        if figure in {"cost", "price"} and held:
            verdict, found = _judge_money(figure, values, held)
            if verdict == WRONG and _is_open(job, figure, value, found, held, reading, sheets):
                verdict = ASKED
        elif figure == "quote_price" and found is not None and found == wanted.get("price"):
            # The one price on file is what was paid; what was quoted is not on file.
            verdict = RIGHT if agrees(figure, found, value) else SILENT
        elif figure.endswith("_rough"):
            found = (held.rough.get(figure.removesuffix("_rough"))) if held else None
            verdict = RIGHT if found else SILENT
        elif found is None:
            also = held.also.get(figure, []) if held else []
            verdict = RIGHT if any(agrees(figure, one, value) for one in also) else SILENT
        elif any(agrees(figure, found, v) for v in values):
            verdict = RIGHT
        else:
            part = held is not None and _is_part(figure, found, value, held, reading, sheets)
            if figure == "receipts" and held is not None:
                part = part or _is_open(job, figure, value, found, held, reading, sheets)
            verdict = ASKED if part else WRONG
        if verdict == SILENT and any(o["figure"] == figure and o.get("missing") for o in fair):
            verdict = RIGHT
        if verdict == SILENT and held and "." in figure:
            # Its rows may all be of a word that is asked about.
            verdict = ASKED if _is_part(figure, 0, value, held, reading, sheets) else SILENT
        if verdict == SILENT:
            verdict = _how_missing(name, value, reading, sheets)
        lines.append(Line(name, figure, verdict, found, value))
    for figure in sorted(held.stated if held else ()):
        said = figure in wanted or (figure in {"price", "quote_price"} and "price" in wanted)
        if not said and figure in figures and not any(o["figure"] == figure for o in fair):
            lines.append(Line(name, figure, WRONG, figures[figure], "not in the records"))
    return lines


def _board(name: str, wanted: dict[str, Any], figures: dict[str, Any]) -> list[dict[str, Any]]:
    """Cement board is the ground of the waterproofing to some, a board like drywall to others."""
    fair = []
    for measure in ("hours", "cost", "days"):
        board, proof = f"board.{measure}", f"waterproof.{measure}"
        both = wanted.get(board, 0) + wanted.get(proof, 0)
        parts = figures.get(board, 0), figures.get(proof, 0)
        # Rows whose phase is asked about ("boarding") are in neither so far.
        waits = figures.get(f"unassigned.{measure}", 0)
        if board in wanted and parts[1] and -0.0201 < both - sum(parts) <= waits + 0.0201:
            fair += [{"job": name, "figure": board, "values": [parts[0]], "missing": True},
                     {"job": name, "figure": proof, "values": [parts[1]]}]  # fmt: skip
    return fair


def _is_open(
    job: dict[str, Any], figure: str, value: Any, found: Any, held: Held, reading: Reading,
    sheets: Sheets,
) -> bool:  # fmt: skip
    """Whether money that is not the true one is said to be open.

    Two records of it contradict each other and both are listed, or it is too small by rows of the
    job that wait: each is said, or stands in a file that was refused in words.
    """
    low, high = value if isinstance(value, list | tuple) else (value, value)
    number = found[0] if isinstance(found, tuple) else found
    told = any(text.startswith("actual direct cost:") for text in held.conflicts)
    if figure == "cost" and low < high and told and min(abs(number - v) for v in (low, high)) < 1:
        return True
    if number > high + 1 or (figure == "price" and not held.rows):
        return False
    keys = {job_key(name) for name in (job["name"], *job.get("aliases", ()))}
    said = [place for place in _said_places(reading) if place.row]
    for file, row, cells in sheets.rows:
        words = " ".join(cells)
        named = any(job_key(cell) in keys for cell in cells)
        if file in reading.refused and any(key in job_key(words) for key in keys):
            return True
        if named and (file, row) not in held.rows:
            here = (p for p in said if p.file == file)
            if any(p.row == row or (not p.column and p.row <= _DEEPEST_HEAD) for p in here):
                return True
    return any(q.topic == "job" and job["name"] in q.choices for q in reading.questions)


_DEEPEST_HEAD = 8
"""The lowest row that may be a heading, at which something is said of all lines."""
SUMS = ("receipts", "hours", "crew", "site_days", "person_days", "wait_days", "cost", "days")
_TAKES_OFF = re.compile(r"-|\(|\bcr\b|return|refund|credit", re.IGNORECASE)


def _is_part(
    figure: str, found: Any, value: Any, held: Held, reading: Reading, sheets: Sheets
) -> bool:
    """Whether a sum on file lacks nothing but rows that are known to wait for an answer."""
    if figure.rpartition(".")[2] not in SUMS or not held.rows:
        return False
    phase, _, measure = figure.rpartition(".")
    waits = held.figures.get(f"unassigned.{measure}", 0) if phase else 0
    asked = any(one.topic == "phase" for one in reading.questions)
    if asked and 0 < abs(value) - abs(found) <= waits + 0.0201:
        return True  # Its other rows name a phase that is asked about.
    files = {file for file, _ in held.rows}
    left = [
        (file, number, row)
        for file, number, row in sheets.of_job(held.name)
        if file in files and (file, number) not in held.rows and re.search(r"\d", " ".join(row))
    ]
    said = _said_places(reading)
    waiting = [
        row
        for file, number, row in left
        if any(p.file == file and (p.row == number or p.column) for p in said)
    ]
    if len(waiting) < len(left) or not left:
        return False
    lowers = any(_TAKES_OFF.search(cell) for row in waiting for cell in row)
    return lowers or figure == "crew" or abs(found) < abs(value)


def expected_of(job: dict[str, Any]) -> dict[str, Any]:
    """The figures a case states of a job, phases as ``tile.hours``."""
    left_out = {"name", "aliases", "scope", "phases", "cost_rough"}
    wanted = {k: v for k, v in job.items() if k not in left_out and v is not None}
    if job.get("cost_rough") and not isinstance(job.get("cost"), list) and "cost" in wanted:
        wanted["cost_rough"] = True
    for phase, stated in job.get("phases", {}).items():
        wanted |= {f"{phase}.{k}": v for k, v in stated.items() if v is not None and v is not False}
    return wanted


def agrees(figure: str, found: Any, value: Any) -> bool:
    """Whether a figure on file is the true one."""
    if isinstance(value, bool | str) or isinstance(found, bool | str):
        return bool(found == value)
    last = figure.rpartition(".")[2]
    most = CLOSE.get(last, 0.0101 if last in MONEY or last == "plan_cost" else 0.0201)
    return abs(found - value) <= most


def _judge_money(figure: str, values: list[Any], held: Held) -> tuple[str, Any]:
    """A cost or price, the true one first; one given as a range must be kept as that range."""
    value = values[0]
    found = held.figures.get(figure)
    span = held.rough.get(figure) or (held.rough.get("paid") if figure == "price" else None)
    if found is None:
        return SILENT, None
    if isinstance(value, list | tuple):
        same = span is not None and all(
            abs(a - b) < 0.0101 for a, b in zip(span, value, strict=True)
        )
        rough = span is not None and span[0] == span[1] and value[0] <= span[0] <= value[1]
        return (RIGHT, list(value)) if same or rough else (WRONG, span or found)
    if span and span[0] != span[1]:
        return WRONG, span
    if span and any(abs(found - v) <= ROUGHLY * v for v in values if isinstance(v, int | float)):
        return RIGHT, found
    also = held.also.get(figure, []) if figure == "price" else []
    hit = any(agrees(figure, a, b) for a in (found, *also) if a is not None for b in values)
    return (RIGHT if hit else WRONG), found


def _how_missing(name: str, value: Any, reading: Reading, sheets: Sheets) -> str:
    """Whether a figure that is not on file is asked for, was refused with its file, or is lost."""
    rows = sheets.of_job(name)
    files = {where for where, _, _ in rows} or {where for where, _, _ in sheets.rows}
    if reading.refused and files <= set(reading.refused):
        return REFUSED
    for file in files - set(reading.refused):
        mine = [(n, row) for where, n, row in rows if where == file]
        bearing = [(n, row) for n, row in mine if any(shows(cell, value) for cell in row)]
        headings = sheets.headings(file, value, [row for _, row in bearing])
        numbers = {n for n, _ in mine}
        for place in _said_places(reading):
            if place.file != file:
                continue
            whole = place.row == 0 or not place.column
            if place.row in numbers and (whole or not headings or place.column in headings):
                return ASKED
            if whole and (place.row == 0 or _is_above(place.row, sheets, file, numbers)):
                return ASKED
            if place.column and (not headings or place.column in headings):
                return ASKED
    return SILENT


def _is_above(row: int, sheets: Sheets, file: str, numbers: set[int]) -> bool:
    """Whether a place without a column is the heading of the table, so speaks of all of it."""
    first = min(numbers, default=0)
    return row < first and row <= _DEEPEST_HEAD


def _said_places(reading: Reading) -> list[Any]:
    """Where questions and findings say that something is unclear."""
    said = [one.place for one in reading.questions]
    return said + [one.place for one in reading.findings if one.kind in SPEAKING]


_NUMBER = re.compile(r"(?<![\w.])-?\d[\d,]*(?:\.\d+)?(?![\w])")
_ISO = re.compile(r"\d{4}-\d\d-\d\d")


def _never(
    truth: dict[str, Any], reading: Reading, known: set[str], by_key: dict[str, Held]
) -> list[Line]:
    """Figures on file of which the case says that they must never appear."""
    lines: list[Line] = []
    expected = {job_key(j["name"]): expected_of(j) for j in truth.get("job", [])}
    for text in truth.get("never", []):
        head = text.partition(":")[0]
        if "a job" in head and "named" in head:
            continue  # Strange jobs are wrong whatever they are called.
        named = [j for j in truth.get("job", []) if j["name"] in head]
        for job in named:
            head = head.replace(job["name"], " ")
        if not named:
            named = truth.get("job", [])
        which = _figures_meant(head)
        days = set(_ISO.findall(head))
        numbers = {abs(float(n.replace(",", ""))) for n in _NUMBER.findall(_ISO.sub(" ", head))}
        for job in named:
            held = by_key.get(job_key(job["name"]))
            mine = expected[job_key(job["name"])]
            for figure in which if held else ():
                found = held.figures.get(figure) if held else None
                if found is None or figure in mine:
                    continue  # What the case states is compared already.
                if isinstance(found, str) and found in days:
                    lines.append(Line(job["name"], figure, WRONG, found, f"never: {text}"))
                if isinstance(found, float | int) and any(abs(found - n) < 0.0101 for n in numbers):
                    lines.append(Line(job["name"], figure, WRONG, found, f"never: {text}"))
        lines += _never_lines(head, text, numbers, reading)
    return lines


def _figures_meant(head: str) -> tuple[str, ...]:
    """Which figures a sentence of what must never be speaks of, by its unit."""
    if _ISO.search(head):
        return ("start", "finish")
    for word, figures in _UNITS.items():
        if re.search(rf"\b{word}", head):
            return figures
    return MONEY


_UNITS = {
    "hour": ("hours",),
    "site day": ("site_days",),
    "person_days": ("person_days",),
    "crew": ("crew",),
    "guys": ("crew",),
    "square": ("area",),
    "area": ("area",),
    "days": ("site_days", "person_days"),
    "percent": (),
    "cost": ("cost", "quote_cost", "receipts"),
    "price": ("price", "quote_price"),
}


def _never_lines(head: str, text: str, numbers: set[float], reading: Reading) -> list[Line]:
    """Cost lines on file that must not be: sums, balances, reference numbers."""
    if not re.search(
        r"as (?:a |another )?(?:purchase|cost line|money|bill)|on (?:a|any) job", head
    ):
        return []
    on_job = "on a job" in head or "on any job" in head
    return [
        Line(one.job or "(no job)", "cost line", WRONG, one.net / 100, f"never: {text}")
        for one in reading.entries
        if isinstance(one, CostEntry) and (one.job or not on_job)
        if any(abs(abs(one.net) / 100 - n) < 0.0051 for n in numbers)
    ]


def load(path: Path) -> dict[str, Any]:
    """A case."""
    return tomllib.loads(path.read_text("utf-8"))


def case_paths(wanted: Sequence[str] = ()) -> list[Path]:
    """The cases of the suite, all or those whose names begin so; or files by their paths."""
    outside = [Path(one) for one in wanted if one.endswith(".toml")]
    starts = [one for one in wanted if not one.endswith(".toml")]
    listed = sorted(CASES.glob("*.toml"))
    if outside and not starts:
        return outside
    return outside + [p for p in listed if not starts or any(p.name.startswith(s) for s in starts)]


def scores_of(path: Path) -> list[Score]:
    """A case as it stands, and with its text files written as workbooks."""
    case = load(path)
    both = (score(case, path.stem), score(case, f"{path.stem} (xlsx)", workbooks=True))
    return [one for one in both if one is not None]


def share_right(scores: Iterable[Score]) -> float:
    """The share of all figures that are right without an answer."""
    counted = Counter(line.verdict for one in scores for line in one.lines)
    return counted[RIGHT] / max(1, sum(counted.values()))


def table(scores: Sequence[Score], *, all_lines: bool = False) -> str:
    """The scores as text."""
    lines = [f"{'case':58} verdict  questions right asked refused silent wrong"]
    for one in scores:
        counts = [len(one.of(k)) for k in (RIGHT, ASKED, REFUSED, SILENT, WRONG)]
        shown = "".join(f"{n:7}" for n in counts)
        lines.append(f"{one.name:58} {one.verdict:8} {one.asked:3}/{one.allowed:<3}{shown}")
        lines += [f"      WRONG  {line}" for line in one.of(WRONG)]
        for kind in (SILENT, REFUSED, ASKED):
            if missing := one.of(kind):
                what = "; ".join(f"{m.job} {m.figure}" for m in missing)
                lines.append(f"      {kind}: {what if all_lines else what[:300]}")
        lines += [f"      refused {name}: {text[:160]}" for name, text in one.refused.items()]
        if all_lines:
            lines += [
                f"      ? {a.question.text} ({a.question.place})" for a in together(one.questions)
            ]
    verdicts = Counter(one.verdict for one in scores)
    counted = Counter(line.verdict for one in scores for line in one.lines)
    lines.append("")
    lines.append(
        "cases: " + ", ".join(f"{verdicts[k]} {k}" for k in (RIGHT, ASKED, REFUSED, SILENT, WRONG))
    )
    lines.append(
        "figures: " + ", ".join(f"{counted[k]} {k}" for k in (RIGHT, ASKED, REFUSED, SILENT, WRONG))
    )
    lines.append(
        f"{share_right(scores):.1%} of {sum(counted.values())} figures right without an answer; "
        f"{sum(s.asked for s in scores)} questions, {sum(s.allowed for s in scores)} thought fair"
    )
    return "\n".join(lines)


def main() -> None:
    """Print the table of the cases asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("cases", nargs="*", help="beginnings of names, or files; all without")
    parser.add_argument("--details", action="store_true", help="every missing figure and question")
    parser.add_argument("--firm", type=Path, help="a folder with records/ and truth.json")
    parser.add_argument("--public", type=Path, help="a folder of public files with their facts")
    told = parser.parse_args()
    if told.firm or told.public:
        from truth import outside

        print(outside.firm(told.firm) if told.firm else outside.public(told.public))
        return
    scores = [one for path in case_paths(told.cases) for one in scores_of(path)]
    print(table(scores, all_lines=told.details))


if __name__ == "__main__":
    main()
