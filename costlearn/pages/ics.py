"""The likely plan of a calendar as an iCalendar file (RFC 5545, 2009), for any calendar program.

Whole-day events: each phase, each wait of at least a day, each hold point with a date. The same
input gives the same bytes: an event's UID is made from the job and what the event is, never from
dates, so that a plan exported anew replaces the old one; its DTSTAMP is midnight UTC of the newest
day on file that the answer rests on (of the start where no date is on file).
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from costlearn.questions.planning.answer import SiteCalendar
from costlearn.questions.planning.dates import day, done_between
from costlearn.questions.planning.spans import Span
from costlearn.units import say_days

PRODUCT = "-//costlearn//likely plan//EN"
WIDEST = 75
"""Octets a line may have without its line break (section 3.1)."""
BREAK = "\r\n"
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
_NEWLINE = re.compile("\r\n|[\r\n\x0b\x0c\x85\u2028\u2029]")
ONE = timedelta(days=1)
CAUTION = (
    "Middle figures of past jobs, a second opinion and no promise. Cure, test and inspection times "
    "come from the makers' sheets and the local building department."
)


@dataclass(frozen=True)
class Event:
    """A whole-day event: ``mark`` tells it from the job's others; the last day counts.

    ``busy`` is False where nobody works on those days.
    """

    mark: str
    title: str
    first: date
    last: date
    about: str
    busy: bool = True


def ics_text(answer: SiteCalendar) -> str:
    """The likely plan as the text of an iCalendar file, lines ended as the standard wants them.

    An answer that is not known gives a calendar without events.
    """
    stamp = f"{answer.grounds.last or answer.start:%Y%m%d}T000000Z"
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", f"PRODID:{PRODUCT}", "CALSCALE:GREGORIAN"]
    for event in events_of(answer):
        lines += [
            "BEGIN:VEVENT",
            f"UID:{uid(answer.job.key, event.mark)}",
            f"DTSTAMP:{stamp}",
            f"DTSTART;VALUE=DATE:{event.first:%Y%m%d}",
            f"DTEND;VALUE=DATE:{event.last + ONE:%Y%m%d}",
            f"SUMMARY:{escaped(f'{event.title} - {answer.job.name}')}",
            f"DESCRIPTION:{escaped(event.about)}",
            f"TRANSP:{'OPAQUE' if event.busy else 'TRANSPARENT'}",
            "END:VEVENT",
        ]
    lines.append("END:VCALENDAR")
    return "".join(folded(line) + BREAK for line in lines)


def events_of(answer: SiteCalendar) -> tuple[Event, ...]:
    """The events of the likely plan: phases, waits, hold points; the whole job without phases."""
    if answer.finish is None:
        return ()
    found = list(_phases(answer)) or [_whole(answer)]
    for wait in answer.pauses:
        about = f"About {say_days(wait.days)} of drying, curing, testing or waiting; keep it."
        title = f"Wait after {wait.name}"
        found.append(Event(f"wait {wait.phase}", title, wait.first, wait.last, about, busy=False))
    for hold in answer.holds:
        if hold.day is not None:
            about = "Waits for inspections are counted only as recorded in past jobs."
            mark = f"hold {hold.what}"
            found.append(Event(mark, hold.what, hold.day, hold.day, about, busy=False))
    return tuple(sorted(found, key=lambda e: e.first))


def _phases(answer: SiteCalendar) -> Iterator[Event]:
    for span in answer.spans:
        about = (
            f"Begins {done_between(*span.begins)}, ends {done_between(*span.ends)} 8 times in 10."
            f"{' With a helper.' if span.helper else ''}{_then(span)}\n{CAUTION}"
        )
        yield Event(f"phase {span.phase}", span.name, span.first, span.last, about)


def _then(span: Span) -> str:
    """The wait after a phase, where there is one worth a word."""
    if span.drawn[2] <= span.drawn[1]:
        return ""
    return f" Then about {say_days(span.wait)} of drying, curing, testing or waiting: keep it."


def _whole(answer: SiteCalendar) -> Event:
    finish = answer.finish
    if finish is None:
        return Event("job", "Whole job", answer.start, answer.start, CAUTION)
    about = f"Half of such jobs are done by {day(finish.likely)}, 8 in 10 are done "
    about += f"{done_between(finish.early, finish.late)}.\n{CAUTION}"
    return Event("job", "Whole job", answer.start, finish.likely, about)


def uid(job: str, mark: str) -> str:
    """What names an event for ever: made from its job and its mark, and nothing else."""
    made = hashlib.sha256(f"{job}\x1f{mark}".encode("utf-8", "surrogatepass")).hexdigest()
    return f"{made[:32]}@costlearn"


def escaped(text: str) -> str:
    r"""A text as the standard writes it (section 3.3.11); control characters are left out.

    >>> print(escaped("Smith; bath, 2nd floor"))
    Smith\; bath\, 2nd floor
    """
    plain = _CONTROL.sub("", _NEWLINE.sub("\n", text)).encode("utf-8", "replace").decode()
    for sign in ("\\", ";", ","):
        plain = plain.replace(sign, "\\" + sign)
    return plain.replace("\n", "\\n")


def folded(line: str) -> str:
    """A line in pieces of at most 75 octets, each but the first led by a space (section 3.1)."""
    pieces, piece, room = [], "", WIDEST
    for letter in line:
        size = len(letter.encode())
        if size > room:
            pieces.append(piece)
            piece, room = "", WIDEST - 1
        piece += letter
        room -= size
    return (BREAK + " ").join((*pieces, piece))
