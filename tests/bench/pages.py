"""How heavy the pages are and how soon they can be read: ``python tests/bench/pages.py``.

Writes the demo's set, shared and each page alone, and opens every page from its file in headless
Chromium, at phone width on a processor slowed down four times. Times depend on the machine: they
are printed, never judged.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))

from picture import ARGUMENTS, browser_path, wait_until_drawn
from typer.testing import CliRunner

SLOWER = 4
PAINT = """() => performance.getEntriesByType('paint')
    .find(e => e.name === 'first-contentful-paint')?.startTime ?? NaN"""
SINCE = "() => performance.now()"


@dataclass(frozen=True)
class Weighed:
    """A page: bytes of its own, milliseconds to its first words and to its last chart."""

    name: str
    size: int
    words: float
    charts: float


def weigh(folder: Path, times: int) -> list[Weighed]:
    """Every page of a folder; of several openings the middle one counts."""
    from playwright.sync_api import sync_playwright

    found = []
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=browser_path(), args=ARGUMENTS)
        for path in sorted(folder.glob("*.html")):
            seen = []
            for _ in range(times):
                view = browser.new_page(viewport={"width": 390, "height": 844})
                link = view.context.new_cdp_session(view)
                link.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
                view.goto(path.as_uri(), wait_until="commit")
                view.wait_for_selector("footer", state="attached")
                wait_until_drawn(view)
                charts = float(view.evaluate(SINCE))
                seen.append((float(view.evaluate(PAINT)), charts))
                view.close()
            words, charts = (sorted(s[i] for s in seen)[times // 2] for i in (0, 1))
            found.append(Weighed(path.stem, path.stat().st_size, words, charts))
        browser.close()
    return found


def main() -> int:
    """Print both sets; 2 if there is no browser."""
    parser = argparse.ArgumentParser(description="Weigh the demo's pages.")
    parser.add_argument("--times", type=int, default=3, help="how often each page is opened")
    times = parser.parse_args().times
    if browser_path() is None:
        print("no Chromium on this machine: nothing weighed")
        return 2
    from costlearn.cli.main import app

    for said, more in (("shared script", []), ("each page alone", ["--single-file"])):
        with TemporaryDirectory() as where:
            CliRunner().invoke(app, ["demo", "--to", where, *more], catch_exceptions=False)
            folder = Path(where)
            whole = sum(p.stat().st_size for p in folder.rglob("*") if p.suffix in (".html", ".js"))
            print(f"{said}: {whole / 1e6:.1f} MB in all")
            print(f"{'page':24}{'kB':>8}{'words, ms':>12}{'charts, ms':>12}")
            for one in weigh(folder, times):
                kilo = one.size / 1000
                print(f"{one.name:24}{kilo:8.0f}{one.words:12.0f}{one.charts:12.0f}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
