"""The day sheet as text: what it offers, what it may do, and that its table is what is read."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from datetime import date
from importlib.resources import files

from costlearn import tidy
from costlearn.errors import Place
from costlearn.firm import Firm
from costlearn.intake.day_sheet import HEADINGS
from costlearn.intake.entries.day_sheet_rows import JOB, KINDS
from costlearn.pages.daysheet import (
    Choices,
    choices_from,
    daysheet_html,
    people_of,
    phase_names,
    policy,
)
from costlearn.records import CHANGE_STATES, History, HoursEntry, Job
from costlearn.vocabulary import standard

EVIL = "</script><script>document.title='taken'</script> {{ 7*7 }} \"'&東京"


def script_of(name: str) -> str:
    return files("costlearn.pages").joinpath("templates", name).read_text("utf-8")


def logged(person: str, day: date | None = date(2026, 11, 9)) -> HoursEntry:
    return HoursEntry("J-1", person, day, 8.0, Place("h.csv", "", 2))


def test_the_page_is_small_and_stands_alone() -> None:
    page = daysheet_html(choices_from(History(), ()))
    assert len(page.encode()) < 150_000
    assert not re.findall(r"(?:src|href|action)=\"(?!data:,)", page)
    assert "http:" not in page
    assert "https:" not in page
    assert not re.search(r"\b(?:fetch|XMLHttpRequest|WebSocket|sendBeacon|innerHTML|eval)\b", page)


def test_the_policy_names_the_script_and_style_of_the_page_and_nothing_else() -> None:
    page = daysheet_html(Choices(firm=EVIL, jobs=(EVIL,)))
    found = re.search(r'Content-Security-Policy" content="([^"]*)"', page)
    assert found
    said = found[1].replace("&#39;", "'")
    for name, text in (
        ("script", re.findall(r"<script>(.*?)</script>", page, re.DOTALL)),
        ("style", re.findall(r"<style>(.*?)</style>", page, re.DOTALL)),
    ):
        (one,) = text
        mark = base64.b64encode(hashlib.sha256(one.encode()).digest()).decode()
        assert f"{name}-src 'sha256-{mark}'" in said
    assert said.startswith("default-src 'none'; ")
    assert "unsafe" not in said
    assert policy("a", "b") != policy("a", "c")


def test_texts_of_the_book_stay_texts() -> None:
    page = daysheet_html(Choices(firm=EVIL, jobs=(EVIL,), people=(EVIL,), phases=(EVIL,)))
    assert page.count("<script") == 2
    found = re.search(r'id="choices">(.*?)</script>', page, re.DOTALL)
    assert found
    data = json.loads(found[1])
    assert data["jobs"] == data["people"] == data["phases"] == [EVIL]


def test_running_jobs_are_offered_the_newest_first() -> None:
    jobs = (
        Job("a", "A-1", state="running", started=date(2026, 3, 1)),
        Job("b", "B-2", state="running", started=date(2026, 10, 1)),
        Job("c", "C-3", state="finished", finished=date(2026, 10, 1)),
        Job("d", "D-4", state="running"),
    )
    firm = Firm(name="Tern", currency="EUR", hours_per_day=7.5)
    found = choices_from(History(firm, jobs), [logged("Ann")])
    assert found.jobs == ("B-2", "A-1", "D-4")
    assert (found.people, found.hours, found.currency) == (("Ann",), 7.5, "EUR")
    assert "Amount on the receipt, €" in daysheet_html(found)


def test_people_are_those_of_late_and_crews_are_nobody() -> None:
    entries = [
        *(logged("Ben") for _ in range(2)),
        *(logged("ann") for _ in range(3)),
        *(logged(name) for name in ("1 of crew 2", "Ann & Ben", "", "  ", "Ann, Ben")),
        logged("Long Gone", date(2023, 1, 2)),
        logged("No Day", None),
    ]
    assert people_of(entries) == ("ann", "Ben")
    assert people_of([logged(f"P{chr(65 + i)}") for i in range(20)], most=3) == ("PA", "PB", "PC")
    assert people_of([]) == ()


def test_phases_stand_in_the_words_of_the_firm_where_they_are_read_back_as_meant() -> None:
    firm = Firm(phase_words={"tile": ("wall work",), "paint": ("rough",), "sauna": ("hot room",)})
    names = phase_names(firm)
    words = standard().with_phases(firm.phase_words)
    assert names[9] == "wall work"
    # "rough" may mean several phases and would be asked about: the usual name stays.
    assert "rough" not in names
    assert "Painting" in names
    assert names[-1] == "hot room"
    assert [words.find_phase(name) for name in names] == [p.key for p in words.phases]


def test_the_page_writes_what_the_import_reads() -> None:
    records = script_of("daysheet_records.js")
    listed = re.search(r"const HEADINGS = \[(.*?)\];", records, re.DOTALL)
    assert listed
    assert tuple(re.findall(r'"([^"]*)"', listed[1])) == HEADINGS
    page = daysheet_html(Choices())
    assert set(re.findall(r'name="record" id="[\w-]*" value="(\w+)"', page)) == {*KINDS, JOB}
    assert set(re.findall(r'name="answer" id="[\w-]*" value="(\w+)"', page)) == set(CHANGE_STATES)
    kinds = set(re.findall(r'name="kind" id="[\w-]*" value="(\w*)"', page)) - {""}
    assert kinds <= set(standard().cost_words)


def test_the_page_guards_the_same_signs_as_every_export() -> None:
    records = script_of("daysheet_records.js")
    acts = re.search(r"const ACTS = /\^\(\?:(.*)\)/;", records)
    parts = re.search(r"const PARTS =\s+/(.*)/g;", records)
    coded = re.search(r"const CODED = /(.*)/g;", records)
    assert acts and parts and coded
    # Spelled alike, they match alike; test_guard in the browser holds what they do.
    assert acts[1] == tidy._ACTS.pattern
    assert parts[1] == tidy._PARTS.pattern
    assert coded[1] == tidy._CODED.pattern
    fragile = re.search(r"const FRAGILE = /(.*?)/g", records)
    assert fragile
    spelled = re.compile(fragile[1])
    for code in [*range(0x100), 0x2028, 0x2029, 0xFEFF, 0xFFFE, 0xFFFF, 0x4E00]:
        assert bool(spelled.match(chr(code))) == bool(tidy._FRAGILE.match(chr(code))), hex(code)
