"""The calendar file: read back by another's parser, and line by line against RFC 5545 (2009)."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import page_making as making
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from icalendar import Calendar, Event

from costlearn.pages.ics import CAUTION, escaped, events_of, folded, ics_text, uid
from costlearn.questions.planning.calendar import site_calendar
from costlearn.records import History

START = date(2027, 1, 11)
UNTIMED = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
NASTY = [
    making.EVIL,
    making.LONG,
    'Semi; colon, comma \\ back\\nslash: "quotes"',
    "two\nlines\r\nthree\rfour\u2028five",
    "BEGIN:VEVENT\r\nSUMMARY:smuggled",
    "\x00\x07bell\x1b[31m",
    "東京" * 40 + "🛁" * 30,
    "",
    " ",
    "\ud800",
]


def read(text: str) -> list[Event]:
    found = Calendar.from_ical(text.encode())
    assert isinstance(found, Calendar)
    assert not found.errors
    events = [e for e in found.walk() if isinstance(e, Event)]
    assert not [e.errors for e in events if e.errors]
    return events


@pytest.mark.parametrize("name", NASTY)
def test_another_parser_reads_what_was_planned(name: str) -> None:
    answer = making.planned(name)
    events = read(ics_text(answer))
    wanted = events_of(answer)
    assert len(events) == len(wanted) >= len(answer.spans) > 5
    for event, meant in zip(events, wanted, strict=True):
        assert event.decoded("DTSTART") == meant.first
        assert event.decoded("DTEND") == meant.last + timedelta(days=1)
        assert str(event["SUMMARY"]).startswith(f"{meant.title} - ")
        assert not isinstance(event.decoded("DTSTART"), type(None))
        assert event["TRANSP"] == ("OPAQUE" if meant.busy else "TRANSPARENT")
    plain = [c for c in name if c.isprintable() and not "\ud800" <= c <= "\udfff"]
    assert "".join(plain).strip() in "".join(
        c for c in str(events[0]["SUMMARY"]) if c.isprintable()
    )


@pytest.mark.parametrize("name", NASTY)
def test_lines_are_as_the_standard_wants_them(name: str) -> None:
    """Section 3.1: lines end in CRLF, none longer than 75 octets; no control characters."""
    raw = ics_text(making.planned(name)).encode()
    assert raw.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert b"\r" not in raw.replace(b"\r\n", b"")
    lines = raw.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    assert not re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]", raw)
    for line in lines:
        line.decode()  # a letter is never cut in two
    begun = [line for line in lines if line.startswith(b"BEGIN:VEVENT")]
    assert len(begun) == len(events_of(making.planned(name)))


def test_the_same_input_gives_the_same_bytes_and_the_stamp_is_the_newest_day_on_file() -> None:
    answer = making.planned()
    text = ics_text(answer)
    assert text == ics_text(making.planned())
    assert answer.grounds.last is not None
    stamps = {e.decoded("DTSTAMP").date() for e in read(text)}
    assert stamps == {answer.grounds.last}
    undated = replace(answer, grounds=replace(answer.grounds, last=None))
    assert {e.decoded("DTSTAMP").date() for e in read(ics_text(undated))} == {answer.start}


def test_an_event_keeps_its_name_when_its_dates_move() -> None:
    later = making.planned(start=date(2027, 3, 1))
    ids = [{str(e["UID"]) for e in read(ics_text(a))} for a in (making.planned(), later)]
    phases = {uid(later.job.key, f"phase {s.phase}") for s in later.spans}
    assert phases <= ids[0] & ids[1]
    for text in (ics_text(making.planned()), ics_text(later)):
        named = [str(e["UID"]) for e in read(text)]
        assert len(named) == len(set(named))
    assert uid("a", "phase tile") != uid("b", "phase tile") != uid("b", "phase paint")


def test_waits_and_hold_points_stand_in_it_and_keep_nobody_busy() -> None:
    answer = making.planned()
    titles = [(e.title, e.busy) for e in events_of(answer)]
    for hold in answer.holds:
        assert (hold.what, False) in titles
    for pause in answer.pauses:
        assert (f"Wait after {pause.name}", False) in titles
    waiting = [s for s in answer.spans if s.drawn[2] > s.drawn[1]]
    said = {e.title: e.about for e in events_of(answer)}
    assert waiting
    assert all("keep it" in said[s.name] for s in waiting)


def test_without_phases_it_is_one_event_and_without_an_answer_none() -> None:
    bare = History(making.FIRM, tuple(replace(j, phases=()) for j in making.history().jobs))
    whole = [e for e in events_of(site_calendar(bare, making.quoted(), START)) if e.busy]
    assert [e.title for e in whole] == ["Whole job"]
    assert whole[0].about.endswith(CAUTION)
    assert events_of(site_calendar(History(), making.quoted(), START)) == ()


def test_texts_are_escaped_as_section_3_3_11_has_it() -> None:
    assert escaped("a;b,c\\d\ne:f\tg\x00") == "a\\;b\\,c\\\\d\\ne:f\tg"


@UNTIMED
@given(st.text(max_size=300))
def test_any_text_comes_back_from_folding_and_escaping(text: str) -> None:
    clean = "".join(c for c in text if not "\ud800" <= c <= "\udfff")
    line = folded(f"SUMMARY:{escaped(clean)}")
    assert all(len(part.encode()) <= 75 for part in line.split("\r\n"))
    raw = f"BEGIN:VEVENT\r\nUID:1\r\nDTSTAMP:20270111T000000Z\r\n{line}\r\nEND:VEVENT\r\n"
    back = str(Event.from_ical(raw)["SUMMARY"])
    breaks = re.compile("\r\n|[\r\n\x0b\x0c\x85\u2028\u2029]")
    wanted = re.sub(r"[\x00-\x08\x0b-\x1f\x7f]", "", breaks.sub("\n", clean))
    assert back == wanted
