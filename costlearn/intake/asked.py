"""What is asked about: a scope or a quote, from TOML or from words, as a job in state "quoted".

The file has a ``[scope]`` (kind, area, grade, house_year, condo, crew, items), and for a quote also
``[quote]`` (name, price, cost, person_days, site_days, elapsed_days, crew, date) and one
``[plan.PHASE]`` (cost, person_days, site_days, crew) for each planned phase.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm
from costlearn.intake.files.tomlfile import load_toml, shown
from costlearn.intake.scope import MOST_PARTS, read_scope
from costlearn.intake.values.numerals import decimal_in
from costlearn.intake.values.sizes import read_area
from costlearn.records import Amounts, Job, PhaseRecord, job_key
from costlearn.units import to_cents
from costlearn.vocabulary import Vocabulary, fold, standard

GRADES = {"basic": 0.0, "middle": 1.0, "high": 2.0}
MOST = {"crew": 50.0, "person_days": 1e5, "site_days": 1e4, "elapsed_days": 1e4}
LARGEST = 1e9
"""Beyond these a figure is taken for a slip: of money 1e9, of days and people as in ``MOST``."""
OLDEST_HOUSE, NEWEST_HOUSE = 1600, 2100
FIRST_YEAR, LAST_YEAR = 1950, 2100
_BELOW_ZERO = re.compile(r"(?:^|[\s:=(])[-\u2212]\d")

_SCOPE = ("kind", "area", "grade", "house_year", "condo", "crew", "items")
_QUOTE = ("name", "price", "cost", "person_days", "site_days", "elapsed_days", "crew", "date")
_PLAN = ("cost", "person_days", "site_days", "crew")


def read_asked(path: Path, firm: Firm, vocabulary: Vocabulary | None = None) -> Job:
    """The scope or quote a TOML file holds, as a job in state "quoted".

    Raises:
        UnreadableFile: no such file, or not TOML.
        InputProblem: an unknown key, a value of the wrong kind or out of range, a word nobody
            knows.
    """
    raw = load_toml(
        path, "the scope file", expected="a [scope] part with lines such as area = '52 sq ft'"
    )
    words = vocabulary or standard().with_phases(firm.phase_words)
    known = {"scope", "quote", "plan"}
    for key in raw:
        if key not in known:
            raise InputProblem(
                f"the part '{key}' is unknown",
                place=Place(path.name),
                expected="only [scope], [quote] and [plan.PHASE]",
            )
    quote = _part(raw, "quote", _QUOTE, path.name)
    scope = _part(raw, "scope", _SCOPE, path.name)
    if not scope and not quote:
        raise InputProblem(
            "nothing in it says what the job is",
            place=Place(path.name),
            expected="[scope] and under it lines such as area = '52 sq ft'",
        )
    return job_from(scope, quote, _plans(raw, words, path.name), firm, words, path.name)


def job_from(
    scope: Mapping[str, Any],
    quote: Mapping[str, Any],
    plans: Sequence[PhaseRecord],
    firm: Firm,
    words: Vocabulary,
    file: str = "",
) -> Job:
    """A job in state "quoted" from stated values.

    Its notes say which close spellings were taken for which scope items. Without a file the values
    are options of a command.

    Raises:
        InputProblem: a value of the wrong kind or out of range, or a word nobody knows.
    """
    parts = dict.fromkeys(scope, "scope.") | dict.fromkeys(quote, "quote.")
    see = _Reader({**scope, **quote}, file, parts)
    items, notes = _items(see, firm, words)
    name = see.text("name") or (Path(file).stem if file else "this job")
    return Job(
        job_key(name) or "asked",
        name,
        kind=_kind(see, words),
        state="quoted",
        quoted_on=see.day("date"),
        area_sqft=_area(see, firm),
        grade=_grade(see),
        house_year=_house_year(see),
        condo=see.flag("condo"),
        price=see.cents("price"),
        plan=_amounts(see),
        scope=items,
        phases=tuple(plans),
        notes=notes,
    )


class _Reader:
    """Values of a file, or of options where there is none, each checked when it is asked for."""

    def __init__(self, values: Mapping[str, Any], file: str, parts: Mapping[str, str]) -> None:
        self.values = values
        self.file = file
        self.parts = parts

    def place(self, key: str) -> Place:
        if not self.file:
            return Place(f"--{key.replace('_', '-')}")
        return Place(self.file, "", 0, f"{self.parts.get(key, '')}{key}")

    def refuse(self, key: str, expected: str) -> InputProblem:
        found = f"found {shown(self.values[key])}"
        return InputProblem(found, place=self.place(key), expected=expected)

    def text(self, key: str) -> str | None:
        value = self.values.get(key)
        if value is not None and not isinstance(value, str):
            raise self.refuse(key, "a text in quotes")
        return value

    def number(self, key: str) -> float | None:
        value = self.values.get(key)
        if value is None:
            return None
        most = MOST.get(key, LARGEST)
        plain = isinstance(value, int | float) and not isinstance(value, bool)
        if not plain or not 0 < value <= most or value >= LARGEST:
            raise self.refuse(key, f"a number above zero, at most {most:,.0f}")
        return float(value)

    def cents(self, key: str) -> int | None:
        value = self.number(key)
        return None if value is None else to_cents(value)

    def flag(self, key: str) -> bool | None:
        value = self.values.get(key)
        if value is not None and not isinstance(value, bool):
            raise self.refuse(key, "true or false")
        return value

    def day(self, key: str) -> date | None:
        value = self.values.get(key)
        if value is None:
            return None
        if isinstance(value, datetime):
            return iso_day(value.date().isoformat(), self.place(key))
        if isinstance(value, str | date):
            return iso_day(str(value), self.place(key))
        raise self.refuse(key, "a date such as 2026-11-02")


def iso_day(text: str, place: Place) -> date:
    """A date written year first, as 2026-11-02.

    Raises:
        InputProblem: it is none, or of a year in which no job can be asked about.
    """
    parts = text.split("-")
    try:
        if len(parts) == 3 and len(parts[0]) == 4 and all(p.isascii() for p in parts):
            text = "-".join(p.zfill(2) for p in parts)
        day = date.fromisoformat(text)
    except ValueError:
        raise InputProblem(
            f"found {shown(text)}",
            place=place,
            expected="a date such as 2026-11-02, year, month, day",
        ) from None
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise InputProblem(
            f"found {text}", place=place, expected=f"a year from {FIRST_YEAR} to {LAST_YEAR}"
        )
    return day


def _part(raw: Mapping[str, Any], name: str, known: Sequence[str], file: str) -> dict[str, Any]:
    part = raw.get(name.rpartition(".")[2], {})
    if not isinstance(part, dict):
        place = Place(file, "", 0, name)
        raise InputProblem(f"found {shown(part)}", place=place, expected=f"a part headed [{name}]")
    for key in part:
        if key not in known:
            raise InputProblem(
                f"'{key}' is unknown",
                place=Place(file, "", 0, f"{name}.{key}"),
                expected="one of " + ", ".join(known),
            )
    return part


def _plans(raw: Mapping[str, Any], words: Vocabulary, file: str) -> list[PhaseRecord]:
    plans = raw.get("plan", {})
    if not isinstance(plans, dict):
        raise InputProblem(
            f"found {shown(plans)}",
            place=Place(file, "", 0, "plan"),
            expected="a part headed [plan.PHASE] for each phase",
        )
    found: dict[str, PhaseRecord] = {}
    for word in plans:
        values = _part(plans, f"plan.{word}", _PLAN, file)
        key = word if word in words.phase_order else _known(words.find_phase, word, file)
        if key in found:
            raise InputProblem(
                f"the phase '{key}' is planned twice",
                place=Place(file, "", 0, f"plan.{word}"),
                expected="one [plan.PHASE] for each phase",
            )
        see = _Reader(values, file, dict.fromkeys(values, f"plan.{word}."))
        found[key] = PhaseRecord(key, plan=_amounts(see))
    return list(found.values())


def _known(find: Callable[[str], str], word: str, file: str) -> str:
    try:
        return find(word)
    except InputProblem as problem:
        raise InputProblem(
            problem.found,
            place=Place(file, "", 0, f"plan.{word}"),
            expected=problem.expected,
            hint=problem.hint or "see the phases with 'costlearn words'",
        ) from None


def _amounts(see: _Reader) -> Amounts:
    return Amounts(
        cost=see.cents("cost"),
        person_days=see.number("person_days"),
        site_days=see.number("site_days"),
        elapsed_days=see.number("elapsed_days"),
        crew=see.number("crew"),
    )


def _kind(see: _Reader, words: Vocabulary) -> str | None:
    text = see.text("kind")
    if text is None:
        return None
    kind = words.job_words.get(fold(text))
    if kind is None:
        raise see.refuse("kind", "one of " + ", ".join(k.key for k in words.job_kinds))
    return kind


def _area(see: _Reader, firm: Firm) -> float | None:
    value = see.values.get("area")
    if value is None:
        return None
    expected = "a floor area such as '52 sq ft' or '4.8 m2'"
    figure = isinstance(value, int | float) and not isinstance(value, bool)
    if (not isinstance(value, str) and not figure) or (figure and not 0 < value <= LARGEST):
        raise see.refuse("area", expected)
    reading = read_area(value, unit=firm.area_unit, decimal=decimal_in(str(value)))
    if reading.value is None or reading.value <= 0:
        found = reading.problem or f"found {shown(value)}"
        raise InputProblem(found, place=see.place("area"), expected=expected)
    return reading.value


def _grade(see: _Reader) -> float | None:
    value = see.values.get("grade")
    if value is None:
        return None
    if isinstance(value, str) and fold(value) in GRADES:
        return GRADES[fold(value)]
    if value in (0, 1, 2) and not isinstance(value, bool):
        return float(value)
    raise see.refuse("grade", "basic, middle or high")


def _house_year(see: _Reader) -> int | None:
    value = see.values.get("house_year")
    if value is None:
        return None
    plain = isinstance(value, int) and not isinstance(value, bool)
    if not plain or not OLDEST_HOUSE <= value <= NEWEST_HOUSE:
        raise see.refuse("house_year", "the year the house was built, such as 1968")
    return int(value)


def _items(see: _Reader, firm: Firm, words: Vocabulary) -> tuple[dict[str, float | None], str]:
    """The scope items, and a note of each close spelling taken for one."""
    stated = see.values.get("items", [])
    listed = [stated] if isinstance(stated, str) else stated
    if not isinstance(listed, list | tuple) or not all(isinstance(i, str) for i in listed):
        raise see.refuse("items", "a list of texts such as ['wall tile 96', 'shower niche']")
    if len(listed) > MOST_PARTS:
        found_many = f"found {len(listed):,} items"
        raise InputProblem(
            found_many, place=see.place("items"), expected=f"at most {MOST_PARTS:,} items"
        )
    found: dict[str, float | None] = {}
    notes = []
    for text in listed:
        reading = read_scope(text, words, area_unit=firm.area_unit)
        if reading.problem:
            raise InputProblem(f"found {reading.problem}", place=see.place("items"))
        for part in reading.unknown:
            raise InputProblem(
                f"'{part.written}' is no scope item costlearn knows",
                place=see.place("items"),
                expected=_like(part.likely),
                hint=_meant(part.likely) + "see them all with 'costlearn words'",
            )
        slips = any(not size <= LARGEST for size in reading.items.values())
        if slips or _BELOW_ZERO.search(text):
            expected = "an item with a size from zero up, such as 'wall tile 96'"
            found_text = f"found {shown(text)}"
            raise InputProblem(found_text, place=see.place("items"), expected=expected)
        notes += [f"'{word}' is taken for {name}" for word, name in reading.slips]
        for key, size in reading.items.items():
            found[key] = (found.get(key) or 0.0) + size
    return found, "; ".join(notes)


def _meant(near: Sequence[str]) -> str:
    """A question whether the one item that looks like the word was meant."""
    return f"did you mean '{near[0]}'? " if len(near) == 1 else ""


def _like(near: Sequence[str]) -> str:
    if not near:
        return "scope items such as 'wall tile 96' or 'shower niche'"
    return "an item such as " + ", ".join(f"'{name}'" for name in near)
