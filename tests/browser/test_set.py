"""The demo's set of pages from a folder, as from a USB stick: offline, whole, readable by all.

Every page of the set is opened at phone and at desk width; the many pages of single jobs are
represented by the largest and the smallest.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from looking import (
    OPEN_ALL,
    barriers,
    chart_words,
    dead_links,
    page_words,
    pale_words,
    sideways,
)
from picture import browser_path, wait_until_drawn
from typer.testing import CliRunner

from costlearn.cli.main import app

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytest.importorskip("axe_playwright_python", reason="axe-playwright-python is not installed")
pytestmark = pytest.mark.skipif(browser_path() is None, reason="no Chromium on this machine")

PAPER = 650
VISITS = ((390, "light"), (1280, "dark"))
"""Widths and schemes; the elements and their order are the same in both, their colours are not."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    to = tmp_path_factory.mktemp("a stick & more") / "reports"
    done = CliRunner().invoke(app, ["demo", "--to", str(to)])
    assert done.exit_code == 0, done.output
    return to


def pages_of(folder: Path) -> list[Path]:
    """The pages to look at: all in the folder, and of those below it the largest and smallest."""
    below = sorted(folder.glob("*/*.html"), key=lambda p: (p.stat().st_size, p.name))
    return [*sorted(folder.glob("*.html")), *dict.fromkeys([*below[:1], *below[-1:]])]


def on_paper(view: playwright.Page) -> list[str]:
    """What sticks out of A4: 210 mm less two margins of 19 mm (ISO 216) are 650 px."""
    view.set_viewport_size({"width": PAPER, "height": 900})
    view.emulate_media(media="print")
    view.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    return sideways(view) + page_words(view)


class Visit:
    """A page opened once: what it asked for, complained about, and what looks find wrong."""

    def __init__(self, browser: playwright.Browser, path: Path, width: int, scheme: str) -> None:
        self.faults: dict[str, list[str]] = {"asked": [], "said": []}
        view = browser.new_page(viewport={"width": width, "height": 844}, color_scheme=scheme)
        view.on("console", self._hear)
        view.on("pageerror", lambda error: self.faults["said"].append(str(error)))
        view.on("request", lambda request: self._note(request.url))
        view.goto(path.as_uri())
        wait_until_drawn(view)
        looks = {
            "barriers": pale_words if scheme == "dark" else barriers,
            "sideways": sideways,
            "words in charts": chart_words,
            "words": page_words,
            "links": dead_links,
        }
        for name, look in looks.items():
            self.faults[name] = look(view)
        if scheme == "dark":
            self.faults["paper"] = on_paper(view)
        view.close()

    def _note(self, address: str) -> None:
        if not address.startswith(("file:", "data:")):
            self.faults["asked"].append(address)

    def _hear(self, message: playwright.ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.faults["said"].append(message.text)


@pytest.mark.parametrize(("width", "scheme"), VISITS, ids=str)
def test_every_page_of_the_set_is_sound(browser, folder, width, scheme):
    """No request but to files, no complaint, nothing cut or overlapping, no barrier, all links."""
    pages = pages_of(folder)
    assert len(pages) >= 8
    wrong = {}
    for path in pages:
        faults = {k: v for k, v in Visit(browser, path, width, scheme).faults.items() if v}
        if faults:
            wrong[str(path.relative_to(folder))] = faults
    assert wrong == {}


PLANTED = """<main><p style="color: #ddd">pale</p><p><a href="gone.html">gone</a></p>
<p style="width: 3000px">wide</p><p style="margin-left: -9rem">cut off</p>
<table style="table-layout: fixed; width: 5rem"><tr><td style="min-width: 0; white-space: nowrap">
sticks out of its cell</td></tr></table>
"""


def test_the_looks_find_what_is_planted(browser, folder, tmp_path):
    """Each fault looked for is found where it is there."""
    text = (folder / "estimate.html").read_text("utf-8").replace("<main>", PLANTED)
    (tmp_path / "planted.html").write_text(text, "utf-8")
    (tmp_path / "pictures.js").write_text((folder / "pictures.js").read_text("utf-8"), "utf-8")
    faults = Visit(browser, tmp_path / "planted.html", 390, "light").faults
    assert any(f.startswith("color-contrast") for f in faults["barriers"])
    assert (tmp_path / "gone.html").as_uri() in faults["links"]
    assert faults["sideways"]
    assert {"cut off", "sticks out of its cell"} <= set(faults["words"])


def test_overlapping_and_cut_words_of_a_chart_are_found(browser, folder):
    view = browser.new_page(viewport={"width": 390, "height": 844})
    view.goto((folder / "estimate.html").as_uri())
    wait_until_drawn(view)
    assert chart_words(view) == []
    view.evaluate(
        "[...document.querySelectorAll('.xtick text')].slice(0, 3).forEach((t, i) => {"
        " t.setAttribute('transform', ''); t.setAttribute('x', [100, 101, -500][i]); })"
    )
    found = {fault.partition(":")[0] for fault in chart_words(view)}
    assert found == {"over", "cut"}
    view.close()


@pytest.fixture
def estimate(browser, folder) -> Iterator[playwright.Page]:
    view = browser.new_page(viewport={"width": 1280, "height": 900})
    view.goto((folder / "estimate.html").as_uri())
    wait_until_drawn(view)
    yield view
    view.close()


def test_a_wide_chart_has_longer_lines_and_is_lower(browser, folder):
    """The same chart at desk and phone width, and after the window is made smaller."""
    view = browser.new_page(viewport={"width": 1280, "height": 900})
    view.goto((folder / "overruns.html").as_uri())
    wait_until_drawn(view)
    chart = view.locator(".chart").first
    lines = "c => c.querySelectorAll('.ytick tspan').length || c.querySelectorAll('.ytick').length"
    wide = [chart.evaluate(lines), chart.bounding_box()["height"]]
    view.set_viewport_size({"width": 390, "height": 844})
    view.wait_for_timeout(1500)
    narrow = [chart.evaluate(lines), chart.bounding_box()["height"]]
    assert narrow[0] > wide[0]
    assert narrow[1] > wide[1]
    view.close()


def test_one_script_is_shared_and_the_pages_are_light(folder):
    scripts = sorted(p.name for p in folder.rglob("*.js"))
    assert scripts == ["pictures.js"]
    for page in pages_of(folder):
        assert page.stat().st_size < 400_000, page.name


def test_a_page_that_lost_its_script_says_so_and_keeps_its_numbers(browser, folder, tmp_path):
    lonely = tmp_path / "estimate.html"
    lonely.write_text((folder / "estimate.html").read_text("utf-8"), "utf-8")
    view = browser.new_page()
    view.goto(lonely.as_uri())
    view.evaluate(OPEN_ALL)
    charts = view.locator(".chart")
    assert charts.count() >= 3
    for i in range(charts.count()):
        assert "pictures.js beside the page" in charts.nth(i).inner_text()
    assert view.locator("figure table").count() == charts.count()
    view.close()


def test_a_script_of_somebody_else_does_not_run(browser, folder, tmp_path):
    """Were the escaping ever to fail, the page's own policy still stops a script from data."""
    text = (folder / "estimate.html").read_text("utf-8")
    bad = "<script>document.title = 'taken'</script><img src=x onerror=\"document.title='taken'\">"
    hurt = tmp_path / "hurt.html"
    hurt.write_text(text.replace("<main>", f"<main>{bad}"), "utf-8")
    (tmp_path / "pictures.js").write_text((folder / "pictures.js").read_text("utf-8"), "utf-8")
    view = browser.new_page()
    view.goto(hurt.as_uri())
    wait_until_drawn(view)
    assert view.title() != "taken"
    assert view.locator(".chart svg.main-svg").count() > 0
    view.close()


def column(view: playwright.Page, caption: str, number: int) -> list[str]:
    table = view.locator("table", has=view.locator("caption", has_text=caption))
    cells = table.locator(f"tbody tr > :nth-child({number})")
    return [text.replace("\xa0", " ") for text in cells.all_inner_texts()]


def test_rows_are_put_in_order_by_click_and_by_keyboard(estimate):
    caption = "What each item adds"
    given = column(estimate, caption, 3)
    table = estimate.locator("table", has=estimate.locator("caption", has_text=caption))
    head = table.locator("thead th").nth(2)
    button = head.locator("button")
    amounts = [int(re.sub(r"[^\d-]", "", t)) for t in given]
    assert head.get_attribute("aria-sort") == "none"
    button.click()
    assert head.get_attribute("aria-sort") == "ascending"
    shown = column(estimate, caption, 3)
    assert [int(re.sub(r"[^\d-]", "", t)) for t in shown] == sorted(amounts)
    button.focus()
    estimate.keyboard.press("Enter")
    assert head.get_attribute("aria-sort") == "descending"
    shown = column(estimate, caption, 3)
    assert [int(re.sub(r"[^\d-]", "", t)) for t in shown] == sorted(amounts, reverse=True)
    assert button.evaluate("b => b === document.activeElement")
    table.locator("thead th").nth(0).locator("button").click()
    assert head.get_attribute("aria-sort") == "none"
    names = column(estimate, caption, 1)
    assert names == sorted(names, key=str.casefold)
    table.locator("thead th").nth(0).locator("button").click()
    table.locator("thead th").nth(0).locator("button").click()
    assert column(estimate, caption, 3) == given


def test_what_is_not_known_stays_last_and_totals_below(browser, folder):
    view = browser.new_page()
    view.goto((folder / "overruns.html").as_uri())
    caption = "Reserve for a usual job beyond plan, in direct cost"
    table = view.locator("table", has=view.locator("caption", has_text=caption))
    totals = table.locator("tfoot tr").all_inner_texts()
    assert len(totals) == 2
    table.locator("thead th").nth(1).locator("button").click()
    rows = table.locator("tr").all_inner_texts()
    assert rows[-2:] == totals
    view.close()


def test_every_table_is_saved_as_a_file_a_spreadsheet_reads(estimate):
    estimate.evaluate(OPEN_ALL)
    links = estimate.locator(".save a")
    assert links.count() == estimate.locator("table").count() >= 5
    link = estimate.get_by_role("link", name="Save as CSV: By phase")
    with estimate.expect_download() as waiting:
        link.click()
    assert waiting.value.suggested_filename == "by-phase.csv"
    raw = Path(waiting.value.path()).read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf")
    rows = list(csv.reader(io.StringIO(raw.decode("utf-8-sig"), newline="")))
    assert len(rows) == 1 + len(column(estimate, "By phase", 1))
    assert rows[0][:3] == [
        "phase",
        "direct cost, 8 in 10, from ($)",
        "direct cost, 8 in 10, to ($)",
    ]
    assert all(float(low) <= float(high) for _, low, high, *_ in rows[1:])


def test_pages_can_be_written_each_alone(browser, tmp_path):
    done = CliRunner().invoke(app, ["demo", "--to", str(tmp_path), "--single-file"])
    assert done.exit_code == 0, done.output
    assert not list(tmp_path.rglob("*.js"))
    mailed = tmp_path / "mailed"
    mailed.mkdir()
    (tmp_path / "crew.html").rename(mailed / "crew.html")
    view = browser.new_page()
    asked: list[str] = []
    view.on("request", lambda request: asked.append(request.url[:40]))
    view.goto((mailed / "crew.html").as_uri())
    wait_until_drawn(view)
    assert [a for a in asked if a.startswith("file:")] == [(mailed / "crew.html").as_uri()[:40]]
    view.close()
