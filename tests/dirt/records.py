"""True records drawn, each figure written in one of the ways small firms write it.

A :class:`Row` is what its cells show and what they mean: money in cents, a pair for a range, hours,
days, ISO dates. A figure in ``waits`` may not get on file at all: a person would ask.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from hypothesis import strategies as st

Draw = st.DrawFn
JOBS = (
    "Hall bath", "Corner lot ensuite", "Mill Rd powder room", "Duplex laundry", "Kiln kitchen",
    "J-07 main bath", "Duplex, upper bath", "Chêne laundry", "Old bank bath", "Ferry dock kitchen",
)  # fmt: skip
PEOPLE = ("Mo", "Kay", "Sam")
SHOPS = ("Tile barn", "Lumber yard", "Plumbing counter", "Waste hauler", "Paint counter")
PHASES = {
    "demo": ("demo", "tear out"),
    "framing": ("framing",),
    "plumb_rough": ("rough plumbing", "plumbing rough-in"),
    "elec_rough": ("rough electrical",),
    "waterproof": ("waterproofing", "cement board"),
    "tile": ("tile", "tiling"),
    "paint": ("paint", "painting"),
    "cabs_trim": ("cabinets", "vanity"),
}


class Bare(str):
    """A cell written into a comma file without the quotes it needs."""

    __slots__ = ()


@dataclass
class Row:
    """One row: what its cells show by field, and what it means; without meaning it says nothing."""

    cells: dict[str, Any]
    means: dict[str, Any] | None = None
    waits: set[str] = field(default_factory=set)
    job: str = ""
    role: str = "data"


@dataclass
class Block:
    """One table: its fields with their headings, and its rows."""

    heads: dict[str, str]
    rows: list[Row]


# ---- how figures are written


def money(draw: Draw, cents: int, forms: frozenset[str]) -> tuple[Any, Any, bool]:
    """An amount as it is written, what that means (a pair for what is rough), whether it waits."""
    ways: list[str] = ["plain"]
    ways += [f for f in ("range", "rough", "k", "slip") if f in forms]
    way = draw(st.sampled_from(ways))
    dollars = cents // 100
    if way == "range":
        low, high = dollars // 1000 + 3, dollars // 1000 + 3 + draw(st.integers(1, 5))
        shown = draw(st.sampled_from([
            f"{low}k-{high}k", f"{low}-{high}k", f"{low} - {high}k", f"{low},000 to {high},000",
            f"${low},000 to ${high},000",
        ]))  # fmt: skip
        if "decimal comma" in forms:
            shown = f"{low}k-{high}k"
        return shown, (low * 100_000, high * 100_000), False
    if way == "rough":
        about = dollars // 100 * 100 or 100
        shown = draw(st.sampled_from(["~{}", "about {}", "approx {}", "{} or so"]))
        return shown.format(f"{about}"), (about * 100, about * 100), False
    if way == "k":
        tens = dollars // 100 or 1
        text = f"{tens // 10}.{tens % 10}k" if tens % 10 else f"{tens // 10}k"
        return (text.replace(".", ",") if "decimal comma" in forms else text), tens * 10_000, False
    shown = amount(draw, cents, forms)
    if way == "slip":
        slipped = _slip(draw, str(shown))
        return slipped, cents, slipped != str(shown)
    return shown, cents, False


def amount(draw: Draw, cents: int, forms: frozenset[str]) -> Any:
    """A plain amount in the way of its file."""
    sign, size = ("-" if cents < 0 else ""), abs(cents)
    if "decimal comma" in forms:
        return sign + f"{size / 100:,.2f}".translate(str.maketrans(",.", ".,"))
    cut = size % 100 == 0 and draw(st.booleans())
    figure = f"{size // 100:,}" if cut else f"{size / 100:,.2f}"
    if "unquoted thousands" in forms and "workbook" not in forms and draw(st.booleans()):
        return Bare(sign + figure)
    if "thousands comma" not in forms:
        figure = figure.replace(",", "")
    if "currency mark" in forms:
        mark = draw(st.sampled_from(["${}", "{} $", "US$ {}", "{} USD"]))
        return sign + mark.format(figure)
    if "workbook" in forms and "thousands comma" not in forms:
        return cents / 100
    return sign + figure


def _slip(draw: Draw, shown: str) -> str:
    """One digit of a figure typed as the letter it looks like."""
    letters = {"0": "oO", "1": "l", "5": "S"}
    at = [i for i, c in enumerate(shown) if c in letters]
    if not at:
        return shown
    i = draw(st.sampled_from(at))
    return shown[:i] + draw(st.sampled_from(letters[shown[i]])) + shown[i + 1 :]


def a_day(draw: Draw, when: date, forms: frozenset[str], order: str) -> Any:
    """A date in the way of its file."""
    if "numeric dates" in forms:
        return when.strftime("%m/%d/%Y" if order == "mdy" else "%d/%m/%Y")
    if "several date forms" not in forms:
        return when if "workbook" in forms else when.isoformat()
    long = f"{when:%B} {when.day}, {when.year}"
    ways = [when.isoformat(), f"{when.day} {when:%b} {when.year}", long, f"{when:%d-%b-%y}"]
    return draw(st.sampled_from(ways))


def span(draw: Draw, days: float, forms: frozenset[str]) -> tuple[Any, dict[str, Any]]:
    """Days on site as they are written, with the crew where it is said."""
    figure = f"{days:g}".replace(".", "," if "decimal comma" in forms else ".")
    if "crew in words" not in forms:
        plain = days if "workbook" in forms and "decimal comma" not in forms else figure
        return draw(st.sampled_from([plain, f"{figure} days"])), {"days": days}
    words = {
        "{} days, two of us": 2.0, "{} days me alone": 1.0, "{} days 1 man": 1.0,
        "{} days, 2 men": 2.0, "{} x 2": 2.0, "{} days": None,
    }  # fmt: skip
    # Of a short job "3 x 2" may be 3 people for 2 days: either way round it is 6 person-days.
    said = draw(st.sampled_from([w for w in sorted(words) if days > 8 or w != "{} x 2"]))
    crew = words[said]
    means = {"days": days} | ({"crew": crew, "person_days": days * crew} if crew else {})
    return said.format(figure), means


def a_time(draw: Draw, quarters: int, forms: frozenset[str]) -> tuple[Any, bool]:
    """Hours as they are written, and whether they wait."""
    hours, rest = divmod(quarters, 4)
    figure = f"{quarters / 4:g}"
    if "h mm" in forms:
        return draw(
            st.sampled_from([f"{hours}:{rest * 15:02d}", f"{hours}h{rest * 15:02d}"])
        ), False
    if "slip" in forms and draw(st.integers(0, 3)) == 0:
        return f"{quarters * 10}", True
    if "decimal comma" in forms:
        return figure.replace(".", ","), False
    return (quarters / 4 if "workbook" in forms else figure), False


# ---- the five kinds of records


def _cents(draw: Draw, low: int, high: int) -> int:
    """Cents between two sums in dollars; many whole."""
    whole = draw(st.integers(low, high)) * 100
    return whole if draw(st.booleans()) else whole + draw(st.integers(0, 99))


def _dates(draw: Draw) -> date:
    return draw(st.dates(date(2022, 1, 3), date(2025, 10, 1)))


def _jobs(draw: Draw, forms: frozenset[str], names: Sequence[str]) -> Block:
    """A list of finished jobs."""
    if "name above sum" in forms:
        return _parts(draw, forms, names)
    fields = ["job", "cost"]
    fields += [f for f in ("price", "days", "area", "started", "finished") if draw(st.booleans())]
    order = draw(st.sampled_from(["mdy", "dmy"]))
    rows = []
    for name in names:
        row = Row({"job": name}, {"job": name}, job=name)
        cost = _cents(draw, 3_000, 60_000)
        began = _dates(draw)
        ended = began + timedelta(days=draw(st.integers(3, 60)))
        for key, cents in (("cost", cost), ("price", cost * 13 // 10)):
            if key in fields:
                row.cells[key], row.means[key], wait = money(draw, cents, forms)  # type: ignore[index]
                row.waits |= {key} if wait else set()
        if "days" in fields:
            days = draw(st.integers(5, 80)) / 2
            row.cells["days"], means = span(draw, days, forms)
            row.means |= means  # type: ignore[operator]
        if "area" in fields:
            row.cells["area"] = draw(st.integers(20, 220))
            row.means["area"] = float(row.cells["area"])  # type: ignore[index]
        for key, when in (("started", began), ("finished", ended)):
            if key in fields:
                row.cells[key] = a_day(draw, when, forms, order)
                row.means[key] = when.isoformat()  # type: ignore[index]
        rows.append(row)
    _copy(draw, rows, forms)
    return Block(dict.fromkeys(fields, ""), rows)


def _copy(draw: Draw, rows: list[Row], forms: frozenset[str]) -> None:
    """Put in one row a second time, word for word."""
    if "copies" in forms:
        row = draw(st.sampled_from(rows))
        rows.insert(draw(st.integers(0, len(rows))), replace(row, role="copy"))


def _parts(draw: Draw, forms: frozenset[str], names: Sequence[str]) -> Block:
    """Each job's name with its sum, and below it what the sum is made of."""
    rows: list[Row] = []
    plain = forms & {"workbook", "thousands comma", "decimal comma", "currency mark"}
    for name in names:
        parts = {p: _cents(draw, 500, 15_000) for p in ("Labour", "Materials", "Subs")}
        whole = sum(parts.values())
        shown = {"job": name, "cost": amount(draw, whole, plain)}
        rows.append(Row(shown, {"job": name, "cost": whole}, job=name))
        for label, cents in parts.items():
            rows.append(
                Row({"job": label, "cost": amount(draw, cents, plain)}, job=name, role="part")
            )
    return Block({"job": "", "cost": ""}, rows)


def _phases(draw: Draw, forms: frozenset[str], names: Sequence[str]) -> Block:
    """A row a job and phase."""
    fields = ["job", "phase", "cost"]
    fields += [f for f in ("hours", "plan_cost") if draw(st.booleans())]
    rows: list[Row] = []
    for name in names:
        keys = draw(st.lists(st.sampled_from(sorted(PHASES)), min_size=1, max_size=4, unique=True))
        mine = []
        for key in keys:
            word = draw(st.sampled_from(PHASES[key]))
            row = Row({"job": name, "phase": word}, {"job": name, "phase": key}, job=name)
            row.cells["cost"], row.means["cost"], wait = money(
                draw, _cents(draw, 200, 9_000), forms
            )  # type: ignore[index]
            row.waits |= {"cost"} if wait else set()
            if "hours" in fields:
                quarters = draw(st.integers(4, 300))
                row.cells["hours"], _ = a_time(draw, quarters, forms - {"slip", "h mm"})
                row.means["hours"] = quarters / 4  # type: ignore[index]
            if "plan_cost" in fields:
                cents = _cents(draw, 200, 9_000)
                row.cells["plan_cost"] = amount(draw, cents, forms)
                row.means["plan_cost"] = cents  # type: ignore[index]
            mine.append(row)
        rows += mine
        if "job totals" in forms and len(mine) > 1 and not any(is_loose(r, "cost") for r in mine):
            label = draw(st.sampled_from(["Total", "Subtotal", "Job total"]))
            cost = sum(r.means["cost"] for r in mine if r.means)
            shown = {"job": draw(st.sampled_from([name, ""])), "phase": label}
            rows.append(Row(shown | {"cost": amount(draw, cost, forms)}, job=name, role="total"))
    _copy(draw, rows, forms) if "job totals" not in forms else None
    return Block(dict.fromkeys(fields, ""), rows)


def is_loose(row: Row, key: str) -> bool:
    """Whether a figure is no plain one, so that a sum cannot hold it."""
    return row.means is None or not isinstance(row.means.get(key), int | float) or key in row.waits


def _hours(draw: Draw, forms: frozenset[str], names: Sequence[str]) -> Block:
    """A row a person and day, or a day with the people across."""
    layouts = ("clock times", "regular and overtime", "persons as columns", "hours of each",
               "crew in one cell")  # fmt: skip
    layout = next((one for one in layouts if one in forms), "plain")
    order = draw(st.sampled_from(["mdy", "dmy"]))
    phased = draw(st.booleans()) and layout != "persons as columns"
    fields = ["day", "job", *(["phase"] if phased else []), *_LAYOUTS[layout]]
    when = _dates(draw)
    rows = []
    for name in names:
        for _ in range(draw(st.integers(1, 3))):
            when += timedelta(days=draw(st.integers(1, 3)))
            row = Row({"day": a_day(draw, when, forms, order), "job": name}, job=name)
            row.means = {"job": name, "day": when.isoformat()}
            if phased:
                key = draw(st.sampled_from(sorted(PHASES)))
                row.cells["phase"], row.means["phase"] = PHASES[key][0], key
            _worked(draw, row, layout, forms)
            rows.append(row)
    return Block(dict.fromkeys(fields, ""), rows)


_LAYOUTS = {
    "plain": ["person", "hours"],
    "clock times": ["person", "in", "out", "break"],
    "regular and overtime": ["person", "regular", "overtime"],
    "persons as columns": [*PEOPLE[:2], "All"],
    "hours of each": ["hours"],
    "crew in one cell": ["person", "hours each"],
}


def _worked(draw: Draw, row: Row, layout: str, forms: frozenset[str]) -> None:
    """The hours of a row in the layout of its log."""
    assert row.means is not None
    quarters = draw(st.integers(4, 40))
    plain = forms & {"workbook", "decimal comma"}
    if layout == "clock times":
        start, rest = draw(st.integers(24, 32)), draw(st.sampled_from([0, 30, 45, 60]))
        end = start + quarters + rest // 15
        row.cells |= {"in": f"{start // 4:02d}:{start % 4 * 15:02d}", "break": rest}
        row.cells["out"] = f"{end // 4:02d}:{end % 4 * 15:02d}"
        total = quarters / 4
    elif layout == "regular and overtime":
        over = draw(st.integers(0, 8))
        row.cells["regular"], _ = a_time(draw, quarters, plain)
        row.cells["overtime"], _ = a_time(draw, over, plain)
        total = (quarters + over) / 4
    elif layout == "persons as columns":
        other = draw(st.integers(1, 40))
        for name, figure in zip(
            (*PEOPLE[:2], "All"), (quarters, other, quarters + other), strict=True
        ):
            row.cells[name], _ = a_time(draw, figure, plain)
        total = (quarters + other) / 4
    elif layout == "hours of each":
        other = draw(st.integers(1, 40))
        row.cells["hours"] = f"Mo {quarters / 4:g}h, Kay {other / 4:g}h"
        total = (quarters + other) / 4
    elif layout == "crew in one cell":
        row.cells["hours each"], _ = a_time(draw, quarters, plain)
        row.cells["person"] = draw(st.sampled_from(["Mo, Kay", "Mo", "Mo + Kay"]))
        total = quarters / 4 * (2 if "Kay" in row.cells["person"] else 1)
    else:
        row.cells["hours"], wait = a_time(draw, quarters, forms)
        if wait:
            row.waits = {"hours"} if quarters * 10 > 24 else set()
            total = quarters / 4 if row.waits else float(quarters * 10)
        else:
            total = quarters / 4
    if "person" not in row.cells and layout in {"plain", "clock times", "regular and overtime"}:
        row.cells["person"] = draw(st.sampled_from(PEOPLE))
    row.means["hours"] = total


def _bills(draw: Draw, forms: frozenset[str], names: Sequence[str]) -> Block:
    """A row a bill of a job; credits lower the cost."""
    taxed = "net tax total" in forms
    fields = ["day", "payee", "job", *(["net", "tax", "gross"] if taxed else ["amount"])]
    order = draw(st.sampled_from(["mdy", "dmy"]))
    rows: list[Row] = []
    for name in names:
        mine = []
        for _ in range(draw(st.integers(1, 3))):
            when = _dates(draw)
            cents = _cents(draw, 35, 4_000)
            row = Row({"day": a_day(draw, when, forms, order), "job": name}, job=name)
            row.cells["payee"] = draw(st.sampled_from(SHOPS))
            row.means = {"job": name, "day": when.isoformat()}
            back = "credits" in forms and draw(st.integers(0, 2)) == 0
            if taxed:
                sign, tax = (-1 if back else 1), round(cents * 13 / 100)
                for key, value in (("net", cents), ("tax", tax), ("gross", cents + tax)):
                    row.cells[key] = amount(draw, sign * value, forms)
                row.means["net"] = sign * cents
            elif back:
                size = str(amount(draw, cents, forms - {"currency mark", "workbook"}))
                row.cells["amount"] = draw(
                    st.sampled_from([f"({size})", f"{size}-", f"-{size}", f"{size} CR"])
                )
                row.means["net"] = -cents
            else:
                plain = forms - {"range", "rough", "k"}
                row.cells["amount"], row.means["net"], wait = money(draw, cents, plain)
                row.waits = {"net"} if wait else set()
            mine.append(row)
        rows += mine
        if "job totals" in forms and not taxed and not any(r.waits for r in mine):
            cents = sum(r.means["net"] for r in mine if r.means)
            shown = {"payee": "Subtotal", "job": name, "amount": amount(draw, cents, forms)}
            rows.append(Row(shown, job=name, role="total"))
    return Block(dict.fromkeys(fields, ""), rows)


def _statement(draw: Draw, forms: frozenset[str], names: Sequence[str]) -> Block:
    """A row a line of a bank or card list, the job noted beside it."""
    layout = next((one for one in ("running balance", "marker", "signed") if one in forms), "two")
    fields = ["day", "text", *_MONEY_OF[layout], "note"]
    order = draw(st.sampled_from(["mdy", "dmy"]))
    balance = _cents(draw, 50_000, 90_000)
    when = _dates(draw)
    plain = forms - {"slip"}
    opening = Row(
        {"day": a_day(draw, when, forms, order), "text": "Opening balance"}, role="opening"
    )
    opening.cells["balance"] = amount(draw, balance, plain)
    rows = [opening] if layout == "running balance" else []
    for number in range(draw(st.integers(3, 9))):
        when += timedelta(days=draw(st.integers(0, 4)))
        name = draw(st.sampled_from(names))
        cents = _cents(draw, *((3, 31) if "small amounts" in forms else (35, 3_000)))
        what = "out" if number == 0 else draw(st.sampled_from(["out", "out", "back", "in"]))
        if what == "in" and "deposits" not in forms:
            what = "out"
        more = " purchase" if "purchase in the text" in forms else ""
        bought = draw(st.sampled_from(SHOPS)) + more
        text = {"out": bought, "back": "Tile barn refund", "in": "Client deposit"}[what]
        row = Row({"day": a_day(draw, when, forms, order), "text": text, "note": name}, job=name)
        sign = 1 if what == "out" else -1
        balance -= sign * cents
        shown = amount(draw, cents, plain)
        if layout == "two":
            row.cells["withdrawals" if what == "out" else "deposits"] = shown
            row.cells["balance"] = amount(draw, balance, plain)
        elif layout == "running balance":
            row.cells |= {"amount": shown, "balance": amount(draw, balance, plain)}
        elif layout == "marker":
            row.cells |= {"amount": shown, "marker": "Debit" if what == "out" else "Credit"}
        else:
            row.cells["amount"] = amount(draw, -sign * cents, plain)
        if what == "in":
            row.role = "deposit"
        else:
            row.means = {"job": name, "day": when.isoformat(), "net": sign * cents}
        rows.append(row)
    return Block(dict.fromkeys(fields, ""), rows)


_MONEY_OF = {
    "two": ["withdrawals", "deposits", "balance"],
    "running balance": ["amount", "balance"],
    "marker": ["amount", "marker"],
    "signed": ["amount"],
}
MAKERS: Mapping[str, Callable[[Draw, frozenset[str], Sequence[str]], Block]] = {
    "jobs": _jobs,
    "phases": _phases,
    "hours": _hours,
    "bills": _bills,
    "statement": _statement,
}
