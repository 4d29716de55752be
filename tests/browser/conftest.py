"""Lets the browser tests use the pages made for ``tests/pages``, and the picture script."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from day_phone import Phone
    from playwright.sync_api import Browser

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent / "pages")]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """One browser a module; two of a process may not run at once."""
    from picture import ARGUMENTS, browser_path
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=browser_path(), args=ARGUMENTS)
        yield started
        started.close()


@pytest.fixture
def phone(browser: Browser, tmp_path: Path) -> Iterator[Callable[..., Phone]]:
    """Phones with the day sheet open, each with a storage of its own."""
    from day_phone import Phone, write_sheet

    page = write_sheet(tmp_path / "daysheet.html")
    made: list[Phone] = []

    def start(**more: object) -> Phone:
        made.append(Phone(browser, page, **more))
        return made[-1]

    yield start
    for one in made:
        one.context.close()
