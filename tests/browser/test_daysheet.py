"""The day sheet in a real browser: written in, corrected, kept, handed over, imported, printed.

Needs a Chromium on the machine (Debian: ``apt install chromium``); without one these are skipped.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from picture import ARGUMENTS, browser_path

from costlearn.book.store import Book
from costlearn.cli.main import main
from costlearn.errors import Place
from costlearn.pages.daysheet import Choices, daysheet_html, phase_names
from costlearn.records import ChangeEntry, CostEntry, HoursEntry

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = pytest.mark.skipif(browser_path() is None, reason="no Chromium on this machine")

EVIL = "=B26-09 </script><b>\"'&{{7*7}} 東京"
JOBS = ("B26-08", EVIL)
TODAY = date(2026, 11, 25)
NOON = "2026-11-25T12:00:00-05:00"
NEW_YORK = "America/New_York"


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    where = tmp_path_factory.mktemp("daysheet") / "daysheet.html"
    from costlearn.firm import Firm

    choices = Choices(JOBS, ("Ann", "Ben"), phase_names(Firm()), 8.0, "CAD", "Tern & Tallow")
    where.write_text(daysheet_html(choices), "utf-8")
    return where


@pytest.fixture(scope="module")
def browser() -> Iterator[playwright.Browser]:
    with playwright.sync_playwright() as play:
        started = play.chromium.launch(executable_path=browser_path(), args=ARGUMENTS)
        yield started
        started.close()


class Phone:
    """One browser with storage of its own; ``view`` is its first window."""

    def __init__(self, browser: playwright.Browser, path: Path, **more: object) -> None:
        given = {"viewport": {"width": 390, "height": 844}, "timezone_id": NEW_YORK, **more}
        self.at = str(given.pop("at", NOON))
        self.before = str(given.pop("before", ""))
        self.context = browser.new_context(accept_downloads=True, **given)
        self.path = path
        self.asked: list[str] = []
        self.refused: list[str | None] = []
        self.complaints: list[str] = []
        self.view = self.window()

    def window(self) -> playwright.Page:
        """One more window on the page."""
        view = self.context.new_page()
        view.on("console", self._hear)
        view.on("pageerror", lambda error: self.complaints.append(str(error)))
        view.on("request", lambda request: self.asked.append(request.url))
        view.on("requestfailed", lambda request: self.refused.append(request.failure))
        view.clock.set_system_time(self.at)
        if self.before:
            view.add_init_script(self.before)
        view.goto(self.path.as_uri())
        return view

    def _hear(self, message: playwright.ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.complaints.append(message.text)

    def said(self, view: playwright.Page | None = None) -> str:
        return (view or self.view).locator("#said").inner_text()

    def listed(self, view: playwright.Page | None = None) -> list[str]:
        return (view or self.view).locator("#list li strong").all_inner_texts()

    def hand_over(self, to: Path) -> Path:
        """Press the button and keep the file; each has a name of its own as a browser gives it."""
        with self.view.expect_download() as download:
            self.view.click("#export")
        to.mkdir(exist_ok=True)
        path = to / download.value.suggested_filename
        while path.exists():
            path = path.with_name(f"{path.stem} (1).csv")
        download.value.save_as(path)
        return path


@pytest.fixture
def phone(browser: playwright.Browser, page_file: Path) -> Iterator[Callable[..., Phone]]:
    made: list[Phone] = []

    def start(**more: object) -> Phone:
        made.append(Phone(browser, page_file, **more))
        return made[-1]

    yield start
    for one in made:
        one.context.close()


def work(view: playwright.Page, *people: str, hours: str = "8", **more: str) -> None:
    """Hours of people on a job, in the form; ``more`` are fields by id, ``job`` by its place."""
    view.check(f"#job-{more.pop('job', '0')}")
    for person in people:
        view.get_by_role("checkbox", name=person, exact=True).check()
    if people:
        view.fill("#hours", hours)
    for name, text in more.items():
        if name == "phase":
            view.select_option("#phase", text)
        else:
            view.fill("#" + name, text)


def receipt(view: playwright.Page, amount: str, taxed: str, kind: str = "material") -> None:
    view.check("#is-receipt")
    view.check("#job-0")
    view.fill("#amount", amount)
    view.check(f"#tax-{taxed}")
    view.get_by_role("radio", name=kind, exact=True).check()


def extra(view: playwright.Page, label: str, price: str, answer: str) -> None:
    view.check("#is-extra")
    view.check("#job-0")
    view.fill("#label", label)
    view.fill("#price", price)
    view.get_by_role("radio", name=answer).check()


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
    receipt(view, "1 234,50", "in")
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


# -- keeping --------------------------------------------------------------------------------------


def test_a_reload_keeps_what_is_saved_and_what_was_begun(phone: Callable[..., Phone]) -> None:
    one = phone()
    view = one.view
    work(view, "Ann")
    view.click("#save")
    work(view, "Ben", hours="3", note="half done", job="1", phase="Painting")
    view.reload()
    assert one.listed() == ["Ann, 8 h"]
    assert one.said() == "What you had begun is back in the form."
    view.click("#save")
    assert one.said() == "Saved: Ben, 3 h, Wed 25 Nov."
    assert "half done" in view.locator("#list li").first.inner_text()
    assert "Painting" in view.locator("#list li").first.inner_text()
    view.reload()
    assert one.said() == ""


def test_two_windows_both_keep_what_they_wrote(phone: Callable[..., Phone], tmp_path: Path) -> None:
    one = phone()
    first, second = one.view, one.window()
    work(first, "Ann")
    work(second, "Ben")
    first.click("#save")
    second.click("#save")
    playwright.expect(first.locator("#list li")).to_have_count(2)
    playwright.expect(second.locator("#list li")).to_have_count(2)
    first.reload()
    assert sorted(one.listed(first)) == ["Ann, 8 h", "Ben, 8 h"]
    assert one.hand_over(tmp_path).read_text("utf-8-sig").count("\n") == 3


def test_an_entry_changed_in_two_windows_is_not_written_over_unseen(
    phone: Callable[..., Phone],
) -> None:
    one = phone()
    first = one.view
    work(first, "Ann")
    first.click("#save")
    second = one.window()
    for view, hours in ((first, "7"), (second, "5")):
        view.get_by_role("button", name="Change: Ann, 8 h").click()
        view.fill("#hours", hours)
    first.click("#save")
    second.click("#save")
    assert "Another window changed this entry meanwhile; it now says: Ann, 7 h." in one.said(second)
    assert one.listed(first) == ["Ann, 7 h"]
    second.click("#save")
    playwright.expect(first.locator("#list li strong")).to_have_text("Ann, 5 h")


FULL = """
(() => {
  const set = Storage.prototype.setItem;
  Storage.prototype.setItem = function (key, text) {
    const left = Number(window.name || 2);
    if (!key.includes('.record.')) return set.call(this, key, text);
    if (left <= 0) throw new DOMException('full', 'QuotaExceededError');
    window.name = String(left - 1);
    return set.call(this, key, text);
  };
})()
"""


def test_a_full_storage_is_said_and_the_entry_stays_in_the_form(
    phone: Callable[..., Phone], tmp_path: Path
) -> None:
    """There is room for two records more: of two people's hours both are kept or none."""
    one = phone(before=FULL)
    view = one.view
    work(view, "Ann")
    view.click("#save")
    work(view, "Ann", "Ben", hours="3", note="mine")
    view.click("#save")
    assert one.said() == "Not saved: the storage is full or closed."
    assert "NOT kept" in view.locator("#notice").inner_text()
    assert view.input_value("#note") == "mine"
    assert one.listed() == ["Ann, 8 h"]
    assert one.hand_over(tmp_path).read_text("utf-8-sig").count("hours,2026") == 1


CLOSED = """
Object.defineProperty(window, 'localStorage', {
  get() { throw new DOMException('closed', 'SecurityError'); },
});
Object.defineProperty(window, 'sessionStorage', {
  get() { throw new DOMException('closed', 'SecurityError'); },
});
"""


def test_without_storage_the_page_says_so_and_still_hands_over(
    phone: Callable[..., Phone], tmp_path: Path
) -> None:
    one = phone(before=CLOSED)
    view = one.view
    assert "keeps nothing for this page" in view.locator("#notice").inner_text()
    work(view, "Ann")
    view.click("#save")
    assert one.listed() == ["Ann, 8 h"]
    assert "1 not handed over yet" in view.locator("#count").inner_text()
    assert "Ann" in one.hand_over(tmp_path).read_text("utf-8-sig")
    assert "all handed over" in view.locator("#count").inner_text()
    assert one.complaints == []


def test_a_spoiled_record_is_told_and_left_alone(phone: Callable[..., Phone]) -> None:
    one = phone()
    one.view.evaluate("localStorage.setItem('costlearn.day-sheet.record.kx', '{half')")
    one.view.evaluate("localStorage.setItem('something else', '{half')")
    one.view.reload()
    assert "1 cannot be read" in one.view.locator("#count").inner_text()
    assert one.view.evaluate("localStorage.length") == 2


def test_the_policy_lets_nothing_in_or_out(phone: Callable[..., Phone]) -> None:
    one = phone()
    blocked = one.view.evaluate(
        """async () => {
            const found = [];
            const hear = event => found.push(event.effectiveDirective);
            document.addEventListener('securitypolicyviolation', hear);
            await fetch('https://example.org/').catch(() => {});
            const add = (tag, more) =>
                document.body.append(Object.assign(document.createElement(tag), more));
            add('img', {src: 'https://example.org/a.png'});
            add('script', {textContent: 'document.title = "taken"'});
            add('style', {textContent: 'body { display: none }'});
            add('iframe', {src: 'https://example.org/'});
            await new Promise(done => setTimeout(done, 300));
            return found;
        }"""
    )
    assert {"connect-src", "img-src", "script-src-elem", "style-src-elem", "frame-src"} <= set(
        blocked
    )
    assert "taken" not in one.view.title()
    # What was tried at all was stopped by the page's own policy, before any network.
    tried = [address for address in one.asked if address.startswith("http")]
    assert one.refused == ["csp"] * len(tried)


# -- for everybody --------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [320, 390, 1280])
def test_no_width_scrolls_sideways_and_targets_are_large(
    phone: Callable[..., Phone], width: int
) -> None:
    one = phone(viewport={"width": width, "height": 844})
    view = one.view
    work(view, "Ann", job="1", note="w" * 300)
    view.click("#save")
    view.check("#waited")
    small: list[str] = []
    for kind in ("hours", "receipt", "extra"):
        view.check(f"#is-{kind}")
        view.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        wide = view.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
        assert wide[0] <= wide[1], kind
        small += view.evaluate(
            """() => [...document.querySelectorAll('button, select, summary, textarea, input')]
                .filter(e => e.offsetParent)
                .map(e => [e.id || e.textContent, e.getBoundingClientRect()])
                .filter(([, b]) => b.height < 44 || b.width < 44)
                .map(([name, b]) => `${name} ${b.width} x ${b.height}`)"""
        )
    assert small == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_words_stand_out_from_the_page(phone: Callable[..., Phone], scheme: str) -> None:
    """4.5 to 1 (W3C, Web Content Accessibility Guidelines 2.2, criterion 1.4.3)."""
    one = phone(color_scheme=scheme)
    view = one.view
    view.click("#save")
    work(view, "Ann")
    view.click("#save")
    view.check("#is-receipt")
    view.click("#save")
    faint = view.evaluate(
        """() => {
            const light = c => {
                const [r, g, b] = c.map(v => v / 255)
                    .map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4);
                return .2126 * r + .7152 * g + .0722 * b;
            };
            const parts = c => c.match(/[\\d.]+/g).map(Number);
            const ground = e => {
                for (; e; e = e.parentElement) {
                    const c = parts(getComputedStyle(e).backgroundColor);
                    if (c.length < 4 || c[3] > 0) return c;
                }
                return [255, 255, 255];
            };
            const own = e => [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim());
            return [...document.querySelectorAll('main *')]
                .filter(e => e.offsetParent && own(e) && !e.disabled)
                .map(e => {
                    const [a, b] = [parts(getComputedStyle(e).color), ground(e)].map(light);
                    return [(Math.max(a, b) + .05) / (Math.min(a, b) + .05), e.textContent];
                })
                .filter(([ratio]) => ratio < 4.5);
        }"""
    )
    assert faint == []


def test_an_entry_needs_no_mouse_and_is_announced(phone: Callable[..., Phone]) -> None:
    one = phone()
    view = one.view
    view.focus("#is-hours")
    keys = view.keyboard
    seen: list[str] = []
    for _ in range(40):
        keys.press("Tab")
        at = view.evaluate("document.activeElement.id")
        seen.append(at)
        outlined = "(e => getComputedStyle(e.matches('.pick input') ? e.nextElementSibling : e))"
        assert view.evaluate(f"{outlined}(document.activeElement).outlineStyle") == "solid", at
        if at in ("job-0", "person-0", "person-1"):
            keys.press("Space")
        if at == "phase":
            keys.type("Tile")
        if at == "note":
            keys.type("by keys alone")
        if at == "save":
            keys.press("Enter")
            break
    assert one.said() == "Saved: Ann, 8 h; Ben, 8 h, Wed 25 Nov."
    assert {"day", "job-0", "person-0", "hours", "phase", "note", "save"} <= set(seen)
    assert view.locator("#said").get_attribute("aria-live") == "polite"


def test_every_field_has_a_name(phone: Callable[..., Phone]) -> None:
    view = phone().view
    for kind in ("hours", "receipt", "extra"):
        view.check(f"#is-{kind}")
        nameless = view.evaluate(
            """() => [...document.querySelectorAll('input, select, textarea, button')]
                .filter(e => !(e.labels && e.labels.length) && !e.getAttribute('aria-label')
                    && !(e.tagName === 'BUTTON' && e.textContent.trim()))
                .map(e => e.outerHTML)"""
        )
        assert nameless == []
    assert view.locator("fieldset > legend").count() == view.locator("fieldset").count()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_rules_of_axe_core_find_nothing(phone: Callable[..., Phone], scheme: str) -> None:
    """Every rule of every weight, with the form empty, faulty, filled in and being changed."""
    name = "axe_playwright_python.base"
    axe = pytest.importorskip(name, reason="axe-playwright-python is not installed")
    one = phone(color_scheme=scheme)
    view = one.view
    view.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    view.evaluate(axe.AXE_SCRIPT)
    found: list[object] = []

    def look() -> None:
        every = view.evaluate("async () => (await axe.run()).violations")
        found.extend((v["id"], v["impact"], v["nodes"][0]["html"][:120]) for v in every)

    look()
    view.click("#save")
    look()
    work(view, "Ann")
    view.check("#waited")
    look()
    view.click("#save")
    view.get_by_role("button", name="Change: Ann, 8 h").click()
    look()
    view.click("#leave")
    for kind in ("receipt", "extra"):
        view.check(f"#is-{kind}")
        view.click("#save")
        look()
    assert found == []


# -- paper ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_paper_form_is_one_sheet(phone: Callable[..., Phone], paper: str) -> None:
    one = phone()
    work(one.view, "Ann")
    one.view.click("#save")
    printed = one.view.pdf(format=paper, prefer_css_page_size=False)
    assert len(re.findall(rb"/Type /Page\b(?!s)", printed)) == 1
    one.view.emulate_media(media="print")
    assert not one.view.locator("main").is_visible()
    form = one.view.locator(".paper").inner_text()
    for word in ("Job", "Day", "Who", "Phase", "Hours", "Waiting for", "Amount", "Tax", "Kind"):
        assert word in form
    assert "Tile and grout" in form
    assert "Tern & Tallow" in form
