"""A phone with the day sheet open in it, and what a thumb does there."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from costlearn.firm import Firm
from costlearn.pages.daysheet import Choices, daysheet_html, phase_names

if TYPE_CHECKING:
    from playwright.sync_api import Browser, ConsoleMessage, Page

EVIL = "=B26-09 </script><b>\"'&{{7*7}} 東京"
JOBS = ("B26-08", EVIL)
TODAY = date(2026, 11, 25)
NOON = "2026-11-25T12:00:00-05:00"
NEW_YORK = "America/New_York"


def write_sheet(where: Path) -> Path:
    """The page, with two jobs (one that tries to be markup and a formula) and a crew of two."""
    choices = Choices(JOBS, ("Ann", "Ben"), phase_names(Firm()), 8.0, "CAD", "Tern & Tallow")
    where.write_text(daysheet_html(choices), "utf-8")
    return where


class Phone:
    """One browser with storage of its own; ``view`` is its first window."""

    def __init__(self, browser: Browser, path: Path, **more: object) -> None:
        given = {"viewport": {"width": 390, "height": 844}, "timezone_id": NEW_YORK, **more}
        self.at = str(given.pop("at", NOON))
        self.before = str(given.pop("before", ""))
        self.context = browser.new_context(accept_downloads=True, **given)
        self.path = path
        self.asked: list[str] = []
        self.refused: list[str | None] = []
        self.complaints: list[str] = []
        self.view = self.window()

    def window(self) -> Page:
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

    def _hear(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.complaints.append(message.text)

    def said(self, view: Page | None = None) -> str:
        return (view or self.view).locator("#said").inner_text()

    def listed(self, view: Page | None = None) -> list[str]:
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


def work(view: Page, *people: str, hours: str = "8", **more: str) -> None:
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


def receipt(view: Page, amount: str, taxed: str, kind: str = "material") -> None:
    view.check("#is-receipt")
    view.check("#job-0")
    view.fill("#amount", amount)
    view.check(f"#tax-{taxed}")
    view.get_by_role("radio", name=kind, exact=True).check()


def extra(view: Page, label: str, price: str, answer: str) -> None:
    view.check("#is-extra")
    view.check("#job-0")
    view.fill("#label", label)
    view.fill("#price", price)
    view.get_by_role("radio", name=answer).check()


def finished(view: Page, line: str) -> None:
    """A finished job in one line, in the form."""
    view.check("#is-job")
    view.check("#job-0")
    view.fill("#line", line)
