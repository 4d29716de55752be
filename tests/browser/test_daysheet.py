"""The day sheet in a real browser: written in, corrected, handed over, imported, by local days.

Needs a Chromium on the machine (Debian: ``apt install chromium``); without one these are skipped.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from day_phone import EVIL, TODAY, Phone, extra, finished, receipt, work
from picture import browser_path

from costlearn.book.store import Book
from costlearn.cli.main import main
from costlearn.errors import Place
from costlearn.records import ChangeEntry, CostEntry, HoursEntry, JobEntry

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = pytest.mark.skipif(browser_path() is None, reason="no Chromium on this machine")


# -- from the phone into the book -----------------------------------------------------------------


def test_what_is_written_on_the_phone_is_what_the_book_holds(
    phone: Callable[..., Phone], tmp_path: Path
) -> None:
    one = phone()
    view = one.view
    work(view, "Ann", "Ben", hours="7,5", phase="Tile and grout", note='-2 coats,  =x\n"y"')
    view.click("#save")
    assert one.said() == "Saved: Ann, 7.5 h; Ben, 7.5 h, Wed 25 Nov."
    view.click("#yesterday")
    work(view, "Ann", hours="1.5", job="1")
    view.check("#waited")
    view.get_by_role("radio", name="delivery").check()
    view.click("#save")
    work(view, job="0", phase="Backer, membrane, flood test")
    view.check("#waited")
    view.get_by_role("radio", name="drying").check()
    assert "no paid hours" in view.locator("#nobody").inner_text()
    view.click("#save")
    view.click("#today")
    receipt(view, "1 234,50 $", "in")
    view.fill("#tax", "142.02")
    view.fill("#payee", '=Tile shop; hall, "A"')
    view.click("#save")
    receipt(view, "84.5", "out", "not sure")
    view.click("#save")
    receipt(view, "20", "none", "disposal")
    view.check("#amount-back")
    view.click("#save")
    extra(view, "two more lights", "$1,250", "approved it")
    view.click("#save")
    extra(view, "@bench", "", "asked for it")
    view.click("#save")
    assert len(one.listed()) == 9
    path = one.hand_over(tmp_path)
    assert path.name == "daysheet-2026-11-25.csv"
    book = tmp_path / "jobs.book"
    assert main(["import", str(path), "--book", str(book)]) == 0
    before = date(2026, 11, 24)
    note = '-2 coats, =x "y"'
    with Book.open(book, create=False) as kept:
        found = [_without_place(entry) for entry in kept.entries()]
    none = Place()
    expected = [
        HoursEntry("B26-08", "Ann", TODAY, 7.5, none, "tile", False, note),
        HoursEntry("B26-08", "Ben", TODAY, 7.5, none, "tile", False, note),
        HoursEntry(EVIL, "Ann", before, 1.5, none, None, True, "delivery"),
        HoursEntry("B26-08", "", before, 0.0, none, "waterproof", True, "drying"),
        CostEntry(
            *("B26-08", "material", 109_248, none, 14_202),
            day=TODAY,
            payee='=Tile shop; hall, "A"',
        ),
        CostEntry("B26-08", "unassigned", 8_450, none, None, day=TODAY),
        CostEntry("B26-08", "disposal", -2_000, none, 0, day=TODAY),
        ChangeEntry("B26-08", "two more lights", "approved", none, 125_000),
        ChangeEntry("B26-08", "@bench", "verbal", none),
    ]
    assert sorted(map(repr, found)) == sorted(map(repr, expected))
    assert one.complaints == []
    assert {address.partition(":")[0] for address in one.asked} <= {"file", "data", "blob"}


def test_a_finished_job_is_one_line_on_the_phone_and_a_job_in_the_book(
    phone: Callable[..., Phone], tmp_path: Path
) -> None:
    one = phone()
    finished(one.view, "")
    one.view.click("#save")
    assert one.said() == "Not saved yet. Say in one line what the job was."
    assert not one.view.locator("#phase").is_visible()
    finished(one.view, "46 sq ft, niche, 9 days me alone, ~18k all in")
    one.view.click("#save")
    assert one.listed() == ["Finished: 46 sq ft, niche, 9 days me alone, ~18k all in"]
    book = tmp_path / "jobs.book"
    assert main(["import", str(one.hand_over(tmp_path)), "--book", str(book)]) == 0
    with Book.open(book, create=False) as kept:
        (job,) = kept.entries()
    assert isinstance(job, JobEntry)
    assert (job.job, job.state, job.finished) == ("B26-08", "finished", TODAY)
    assert (job.area_sqft, job.actual.cost) == (46.0, 1_800_000)
    assert one.complaints == []


def _without_place(entry: HoursEntry | CostEntry | ChangeEntry) -> object:
    from dataclasses import replace

    return replace(entry, place=Place())


def test_corrected_taken_out_and_put_back_reach_the_book_in_any_order(
    phone: Callable[..., Phone], tmp_path: Path
) -> None:
    one = phone()
    view = one.view
    for person, hours in (("Ann", "8"), ("Ben", "4")):
        work(view, person, hours=hours)
        view.click("#save")
    early = one.hand_over(tmp_path / "a")
    view.get_by_role("button", name="Change: Ann, 8 h").click()
    assert view.locator("#doing").inner_text() == "Change an entry"
    view.fill("#hours", "6")
    view.click("#save")
    view.get_by_role("button", name="Take out: Ben, 4 h").click()
    assert one.listed() == ["Taken out: Ben, 4 h", "Ann, 6 h"]
    late = one.hand_over(tmp_path / "b")
    assert one.listed() == ["Ann, 6 h"]

    def hours(*files: Path) -> list[float]:
        book = tmp_path / f"{len(list(tmp_path.glob('*.book')))}.book"
        for path in files:
            assert main(["import", str(path), "--book", str(book)]) == 0
        with Book.open(book, create=False) as kept:
            return sorted(e.hours for e in kept.entries() if isinstance(e, HoursEntry))

    assert early.name == late.name
    assert hours(early) == [4.0, 8.0]
    assert hours(early, late) == hours(late, early) == hours(early, late, early) == [6.0]
    # Cleared from the page, a new export lacks them: the book keeps what it has.
    view.locator("summary", has_text="Tidy up").click()
    view.click("#clear")
    assert "Press again" in view.locator("#handed").inner_text()
    view.click("#clear")
    assert one.listed() == []
    work(view, "Ann", hours="1")
    view.click("#save")
    third = one.hand_over(tmp_path / "c")
    assert hours(late, third) == [1.0, 6.0]


def test_a_slip_is_asked_about_once_and_never_saved_by_itself(phone: Callable[..., Phone]) -> None:
    one = phone()
    view = one.view
    view.click("#save")
    assert one.said() == "Not saved yet. Choose a job, or write its code."
    assert view.locator("#people-wrong").inner_text() == "Say who was on site."
    assert view.evaluate("document.activeElement.id") == "job-another"
    work(view, "Ann", hours="25")
    # What was missing goes once it is there; what is wrong now is said at the next try.
    assert one.said() == ""
    assert view.locator(".wrong:not(:empty)").count() == 0
    view.click("#save")
    assert "from 0.5 to 24" in one.said()
    for amount in ("1.234", "12,3456", "abc", "0", ""):
        receipt(view, amount, "in")
        view.click("#save")
        assert "Write the amount" in one.said(), amount
    view.fill("#amount", "10")
    view.fill("#tax", "11")
    view.click("#save")
    assert "less than the amount" in one.said()
    assert one.listed() == []
    view.check("#is-hours")
    work(view, "Ann")
    view.fill("#day", "2026-11-26")
    view.click("#save")
    assert "Thu 26 Nov is still to come" in one.said()
    assert one.listed() == []
    view.click("#save")
    assert one.listed() == ["Ann, 8 h"]
    work(view, "Ann")
    view.click("#save")
    assert "written down already" in one.said()
    assert one.listed() == ["Ann, 8 h"]


@pytest.mark.parametrize(
    ("typed", "hours"),
    [("8", "8"), ("7,5", "7.5"), ("0.25", "0.25"), ("7:30", "7.5"), (",5", "0.5")],
)
def test_hours_are_read_as_people_write_them(
    phone: Callable[..., Phone], typed: str, hours: str
) -> None:
    one = phone()
    work(one.view, "Ann", hours=typed)
    one.view.click("#save")
    assert one.listed() == [f"Ann, {hours} h"]


def test_the_steps_are_half_hours_within_a_day(phone: Callable[..., Phone]) -> None:
    view = phone().view
    assert view.input_value("#hours") == "8"
    for button, hours in (("#more", "8.5"), ("#less", "8"), ("#less", "7.5")):
        view.click(button)
        assert view.input_value("#hours") == hours
    for typed, button, hours in (
        ("7.25", "#more", "7.5"),
        ("0.5", "#less", "0.5"),
        ("24", "#more", "24"),
    ):
        view.fill("#hours", typed)
        view.click(button)
        assert view.input_value("#hours") == hours


def test_yesterdays_crew_is_offered_again(phone: Callable[..., Phone]) -> None:
    one = phone()
    view = one.view
    view.click("#yesterday")
    work(view, "Ann", "Ben", hours="7.5", phase="Tile and grout", note="once")
    view.click("#save")
    view.click("#today")
    assert view.locator("#again-title").inner_text() == "As on Tue 24 Nov"
    view.locator("#again-picks button").click()
    assert view.input_value("#note") == ""
    view.click("#save")
    assert one.listed() == ["Ben, 7.5 h", "Ann, 7.5 h"] * 2
    assert view.locator("#list h3").all_inner_texts() == ["Wed 25 Nov", "Tue 24 Nov"]


def test_free_words_are_offered_the_next_time(phone: Callable[..., Phone]) -> None:
    one = phone()
    view = one.view
    view.check("#job-another")
    view.fill("#job-other", "  K26-01   <i>kitchen</i> ")
    view.get_by_role("checkbox", name="somebody else").check()
    view.fill("#person-other", "Cy, Dee")
    view.select_option("#phase", label="another: in your words")
    view.fill("#phase-other", "wet wall")
    view.click("#save")
    assert one.listed() == ["Dee, 8 h", "Cy, 8 h"]
    view.reload()
    assert view.get_by_role("radio", name="K26-01 <i>kitchen</i>").count() == 1
    assert view.get_by_role("checkbox", name="Dee").count() == 1
    assert "wet wall" in view.locator("#phase option").all_inner_texts()
    assert view.locator("#list i").count() == 0


# -- days -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("zone", "utc", "day"),
    [
        # Half past midnight of the 26th at UTC+13 is the 25th in UTC; half past eleven in the
        # evening of the 25th at UTC-8 is the 26th there.
        ("Pacific/Auckland", "2026-11-25T11:30:00Z", "2026-11-26"),
        ("America/Los_Angeles", "2026-11-26T07:30:00Z", "2026-11-25"),
        ("Pacific/Auckland", "2026-11-25T10:45:00Z", "2026-11-25"),
    ],
)
def test_the_day_is_that_of_the_wall_clock(
    phone: Callable[..., Phone], tmp_path: Path, zone: str, utc: str, day: str
) -> None:
    one = phone(timezone_id=zone, at=utc)
    view = one.view
    assert view.input_value("#day") == day
    work(view, "Ann")
    view.click("#save")
    path = one.hand_over(tmp_path)
    assert path.name == f"daysheet-{day}.csv"
    assert f"hours,{day},B26-08,Ann" in path.read_text("utf-8-sig")
    view.click("#yesterday")
    yesterday = date.fromordinal(date.fromisoformat(day).toordinal() - 1)
    assert view.input_value("#day") == yesterday.isoformat()


def test_a_page_left_open_over_midnight_follows_the_clock(phone: Callable[..., Phone]) -> None:
    one = phone(at="2026-11-25T23:59:00-05:00")
    one.view.clock.set_system_time("2026-11-26T00:01:00-05:00")
    one.view.evaluate("window.dispatchEvent(new Event('focus'))")
    assert one.view.input_value("#day") == "2026-11-26"
    one.view.fill("#day", "2026-11-20")
    one.view.evaluate("window.dispatchEvent(new Event('focus'))")
    assert one.view.input_value("#day") == "2026-11-20"
