"""True records of one kind, put into a file the way small firms keep it: any mix of known dirt."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import openpyxl
from dirt.records import JOBS, MAKERS, Bare, Block, Draw, Row, is_loose
from hypothesis import strategies as st

TOTALS = (
    "Total", "TOTAL", "ALL JOBS", "2024", "Totaal", "Full costs", "Carried forward", "In all",
    "Everything", "",
)  # fmt: skip
AVERAGES = ("Average", "Avg", "Mean of all", "per job")
HEADS: Mapping[str, tuple[str, ...]] = {
    "job": ("Job", "Project", "Client", "Which job", "Customer job", "Site"),
    "cost": ("Cost", "Our cost", "Cost all in", "What it ran us", "Direct cost", "It cost us"),
    "price": ("Price", "Client paid", "Charged", "Got paid", "Contract price", "They paid"),
    "days": ("Days on site", "Days", "How long", "Time", "Took us", "Days there"),
    "area": ("Sq ft", "Area sq ft", "Size (sf)", "Floor area"),
    "started": ("Started", "Began", "From", "Start"),
    "finished": ("Finished", "Done", "Finish date", "Wrapped up", "Ended"),
    "phase": ("Phase", "Task", "Stage", "Step"),
    "hours": ("Hours", "Hrs", "Labour hrs", "Time"),
    "plan_cost": ("Planned cost", "Budget", "Plan $"),
    "day": ("Date", "Day", "When"),
    "person": ("Person", "Who", "Name"),
    "in": ("In", "Start", "Clock in"),
    "out": ("Out", "End", "Clock out"),
    "break": ("Break (min)", "Lunch (min)"),
    "regular": ("Regular", "Reg hrs"),
    "overtime": ("Overtime", "OT"),
    "payee": ("Supplier", "Bought from", "Shop"),
    "net": ("Net", "Amount before tax"),
    "tax": ("Tax", "HST"),
    "gross": ("Total", "Gross"),
    "amount": ("Amount", "Cost", "Paid"),
    "text": ("Description", "Details"),
    "withdrawals": ("Withdrawals", "Money out", "Debit"),
    "deposits": ("Deposits", "Money in", "Credit"),
    "balance": ("Balance", "Running balance"),
    "marker": ("Dr/Cr", "Debit/Credit"),
    "note": ("Job", "Job note", "for job"),
}
"""Headings by field, the plainest first; the others are drawn with "other headings"."""


@dataclass
class Sheet:
    """A whole file: tables one under the other, and how it is written."""

    kind: str
    blocks: list[Block]
    forms: frozenset[str]
    delimiter: str = ","
    workbook: bool = False
    titles: int = 0
    repeat: int = 0
    notes: bool = False
    spacers: bool = False


@dataclass
class Written:
    """A file on disk: its path, its rows by their numbers, and the rows of headings."""

    path: Path
    rows: dict[int, tuple[Row, dict[str, str]]]
    headings: set[int]
    shown: str


FORMS: Mapping[str, tuple[str, ...]] = {
    "any": (
        "workbook", "title rows", "blank rows", "repeated headings", "other headings", "shuffled",
        "extra columns", "total row", "total in a middle column", "notes below", "semicolons",
        "currency mark",
        "thousands comma", "decimal comma", "several date forms", "numeric dates",
    ),
    "jobs": (
        "range", "rough", "k", "crew in words", "unquoted thousands", "average row", "stacked",
        "slip", "copies", "name above sum",
    ),
    "phases": ("range", "rough", "k", "slip", "merged", "copies", "job totals", "average row"),
    "hours": (
        "h mm", "clock times", "regular and overtime", "persons as columns", "hours of each",
        "crew in one cell", "slip", "merged",
    ),
    "bills": ("net tax total", "credits", "slip", "merged", "unquoted thousands", "job totals"),
    "statement": ("running balance", "marker", "signed", "deposits", "small amounts",
        "purchase in the text"),
}  # fmt: skip
"""The forms of dirt by kind of table."""


@st.composite
def sheets(draw: Draw, kind: str) -> Sheet:
    """Records of a kind in a mix of forms."""
    known = st.sampled_from((*FORMS["any"], *FORMS[kind]))
    forms = frozenset(draw(st.sets(known, max_size=6)))
    names = draw(st.lists(st.sampled_from(JOBS), min_size=2, max_size=6, unique=True))
    block = MAKERS[kind](draw, forms, names)
    if "extra columns" in forms:
        _extra(draw, block)
    if "merged" in forms:
        _merge(block)
    blocks = [block]
    if "stacked" in forms and len(names) > 2:
        cut = draw(st.integers(1, len(block.rows) - 1))
        blocks = [Block(block.heads, block.rows[:cut]), Block(dict(block.heads), block.rows[cut:])]
    for one in blocks:
        _heads(draw, one, forms)
        if "total row" in forms:
            _sum_up(draw, one, forms)
    workbook = "workbook" in forms
    return Sheet(
        kind,
        blocks,
        forms,
        delimiter=_delimiter(draw, forms),
        workbook=workbook,
        titles=draw(st.integers(1, 3)) if "title rows" in forms else 0,
        repeat=draw(st.integers(2, 4)) if "repeated headings" in forms else 0,
        notes="notes below" in forms,
        spacers="blank rows" in forms,
    )


def _delimiter(draw: Draw, forms: frozenset[str]) -> str:
    if "unquoted thousands" in forms:
        return ","
    return draw(st.sampled_from([";", "\t"])) if "semicolons" in forms else ","


# ---- what surrounds the records


def _heads(draw: Draw, block: Block, forms: frozenset[str]) -> None:
    """Give every column its heading, no heading twice; and the columns their order."""
    taken: set[str] = set()
    for key in list(block.heads):
        if block.heads[key]:
            taken.add(block.heads[key])
            continue
        known = HEADS.get(key, (key.capitalize() if key.islower() else key,))
        free = [h for h in known if h not in taken] or list(known)
        block.heads[key] = draw(st.sampled_from(free)) if "other headings" in forms else free[0]
        taken.add(block.heads[key])
    if "shuffled" in forms:
        order = draw(st.permutations(list(block.heads)))
        block.heads = {key: block.heads[key] for key in order}


def _extra(draw: Draw, block: Block) -> None:
    """Columns of no concern."""
    ways: dict[str, Callable[[int], Any]] = {
        "Phone": lambda i: f"555-01{40 + i}",
        "Colour": lambda i: ("sage", "white", "grey 7", "navy")[i % 4],
        "Reference": lambda i: 4400817261 + 37 * i,
        "Key box": lambda i: 4471 + 119 * i,
        "No.": lambda i: i + 1,
    }
    for name in draw(st.lists(st.sampled_from(sorted(ways)), min_size=1, max_size=2, unique=True)):
        block.heads[name] = name
        for i, row in enumerate(block.rows):
            if row.role in {"data", "copy", "deposit"}:
                row.cells[name] = ways[name](i)
        for row in block.rows:
            if row.role == "copy":
                first = next(
                    r
                    for r in block.rows
                    if r.job == row.job and r.role == "data" and r.means == row.means
                )
                row.cells[name] = first.cells[name]


def _merge(block: Block) -> None:
    """Only the first row of a job names it."""
    last = ""
    for row in block.rows:
        if row.role == "total":
            continue
        row.cells = dict(row.cells)
        if row.cells.get("job") == last and last:
            row.cells["job"] = ""
        last = row.job


def _sum_up(draw: Draw, block: Block, forms: frozenset[str]) -> None:
    """A last row with the sums of the columns that can be summed, and one of averages."""
    data = [r for r in block.rows if r.means is not None]
    if len(data) < 2 or any(r.role == "copy" for r in data):
        return
    texts = {"job", "phase", "payee", "text", "person", "note"}
    where = next((key for key in block.heads if key in texts), "job")
    label = draw(st.sampled_from(TOTALS))
    sums: dict[str, Any] = {}
    for key in ("cost", "price", "plan_cost", "net", "days", "hours"):
        shows = "amount" if key == "net" and "amount" in block.heads else key
        if shows not in block.heads or any(is_loose(r, key) for r in data):
            continue
        if shows == "amount" and "balance" in block.heads:
            continue
        total = sum(r.means[key] for r in data if r.means)
        sums[shows] = total / 100 if key in {"cost", "price", "plan_cost", "net"} else total
    comma = "decimal comma" in forms

    def written(value: float) -> str:
        text = f"{value:.2f}"
        return text.replace(".", ",") if comma else text

    if not sums:
        return
    if "total in a middle column" not in forms:
        block.heads = {where: block.heads[where], **block.heads}
    block.rows.append(Row({where: label} | {k: written(v) for k, v in sums.items()}, role="total"))
    if "average row" in forms:
        mean = {k: written(round(v / len(data), 2)) for k, v in sums.items()}
        label = draw(st.sampled_from(AVERAGES))
        block.rows.append(Row({where: label} | mean, role="total"))


# ---- writing


def write(sheet: Sheet, folder: Path) -> Written:
    """The file of a sheet, and which of its rows means what."""
    lines: list[list[Any]] = []
    found: dict[int, tuple[Row, dict[str, str]]] = {}
    headings: set[int] = set()
    width = max(len(block.heads) for block in sheet.blocks)
    titles = ("Jobs of ours", "kept by the office", "spring to fall")[: sheet.titles]
    lines += [[text, *[""] * (width - 1)] for text in titles]
    for number, block in enumerate(sheet.blocks):
        if number:
            lines.append([""] * width)
        lines.append(list(block.heads.values()))
        headings.add(len(lines))
        data = 0
        for row in block.rows:
            if row.role == "data" and sheet.repeat and data and data % sheet.repeat == 0:
                lines.append(list(block.heads.values()))
                headings.add(len(lines))
            data += row.role == "data"
            lines.append([row.cells.get(key, "") for key in block.heads])
            found[len(lines)] = (row, block.heads)
            if sheet.spacers and data % 2 == 0:
                lines.append([""] * width)
    if sheet.notes:
        lines += [[""] * width, ["Notes", *[""] * (width - 1)]]
        lines.append(["found rot under the floor, lost 3 days and 1150", *[""] * (width - 1)])
    if sheet.workbook:
        path = folder / "records.xlsx"
        book = openpyxl.Workbook()
        for line in lines:
            book.active.append([None if cell == "" else cell for cell in line])
        book.save(path)
        shown = "\n".join(" | ".join(str(cell) for cell in line) for line in lines)
        return Written(path, found, headings, shown)
    path = folder / "records.csv"
    text = "".join(_line(line, sheet.delimiter) for line in lines)
    path.write_text(text, "utf-8")
    return Written(path, found, headings, text)


def _line(cells: Sequence[Any], delimiter: str) -> str:
    """One line of a text file; bare cells as they are."""
    parts = []
    for cell in cells:
        if isinstance(cell, Bare):
            parts.append(str(cell))
            continue
        out = io.StringIO()
        csv.writer(out, delimiter=delimiter, lineterminator="").writerow([cell, ""])
        parts.append(out.getvalue()[: -len(delimiter)])
    return delimiter.join(parts) + "\n"
