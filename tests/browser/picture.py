"""Take a picture of a page: ``python tests/browser/picture.py PAGE.html OUT.png``."""

from __future__ import annotations

import argparse
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from playwright.sync_api import Page

ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
    "--disable-quic",
]


def browser_path() -> str | None:
    """Where a Chromium stands on this machine, if there is one."""
    names = ("chromium", "chromium-browser", "google-chrome")
    return next((found for n in names if (found := shutil.which(n))), None)


def wait_until_drawn(view: Page) -> None:
    """Wait until every chart stands; asked without a script, which the page would not let run."""
    view.wait_for_selector(".chart:not(:has(svg.main-svg))", state="detached")


def take(page: Path, out: Path, width: int, height: int, whole: bool, dark: bool) -> None:
    """Open a page, wait until its charts are drawn, and keep what is seen."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=browser_path(), args=ARGUMENTS)
        try:
            view = browser.new_page(
                viewport={"width": width, "height": height},
                color_scheme="dark" if dark else "light",
                device_scale_factor=1,
            )
            view.goto(page.resolve().as_uri())
            wait_until_drawn(view)
            if out.suffix == ".pdf":
                view.pdf(path=str(out), format="A4", prefer_css_page_size=False)
            else:
                view.screenshot(path=str(out), full_page=whole)
        finally:
            browser.close()


def main() -> int:
    """Read the line, take the picture; 2 if there is no browser."""
    parser = argparse.ArgumentParser(description="Take a picture of a page.")
    parser.add_argument("page", type=Path)
    parser.add_argument("out", type=Path, help="a .png, or a .pdf as printed on A4")
    parser.add_argument("--width", type=int, default=1000)
    parser.add_argument("--height", type=int, default=800)
    parser.add_argument("--top-only", action="store_true", help="only what is seen at first")
    parser.add_argument("--dark", action="store_true")
    given = parser.parse_args()
    if browser_path() is None:
        print("no Chromium on this machine: no picture taken")
        return 2
    take(given.page, given.out, given.width, given.height, not given.top_only, given.dark)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
