"""Every page in a real browser, at phone and desk width: offline, drawn, inside its width.

Needs a Chromium on the machine (Debian: ``apt install chromium``); without one these are skipped.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import page_making as making
import pytest
from looking import chart_words
from picture import browser_path, wait_until_drawn

from costlearn.pages.index import Card, index_html
from costlearn.pages.write import write_file, write_page
from costlearn.questions.earning.earnings import earnings
from costlearn.questions.onfile.job import job_on_file
from costlearn.questions.onfile.overview import overview

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = pytest.mark.skipif(browser_path() is None, reason="no Chromium on this machine")

WIDTHS = (360, 1200)
PAGES = (
    *("estimate", "quote", "overruns", "crew", "trust"),
    *("forecast", "stopped", "options", "calendar", "job", "earnings", "unknown", "index"),
)
CHARTS = {
    "estimate": 3,
    "quote": 4,
    "overruns": 6,
    "crew": 7,
    "trust": 4,
    "forecast": 3,
    "stopped": 1,
    "options": 0,
    "calendar": 1,
    "job": 0,
    "earnings": 4,
    "unknown": 0,
    "index": 0,
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All pages, written once; the names of jobs among them try to be markup."""
    where = tmp_path_factory.mktemp("pages")
    answers = {
        "estimate": making.estimated(making.EVIL),
        "quote": making.checked(making.EVIL),
        "overruns": making.overran(),
        "crew": making.crewed(),
        "trust": making.trusted(),
        "forecast": making.foretold(making.EVIL),
        "stopped": making.stopped(),
        "options": making.priced(making.EVIL),
        "calendar": making.planned(making.EVIL),
        "job": job_on_file(making.evil_history(), making.evil_history().jobs[3]),
        "earnings": earnings(making.evil_history()),
        "unknown": making.unknown()[0],
    }
    for name, answer in answers.items():
        write_page(answer, where / f"{name}.html")
    cards = [
        Card(f"{n} {making.EVIL}", a.sentence, f"{n}.html", a.known) for n, a in answers.items()
    ]
    state = overview(making.evil_history(), [answers["earnings"], answers["trust"]])
    jobs = {making.evil_history().jobs[3].key: "job.html"}
    write_file(index_html(cards, overview=state, job_pages=jobs), where / "index.html")
    return where


class Seen:
    """A page opened in the browser, with all it asked for and all it complained about."""

    def __init__(self, browser: playwright.Browser, path: Path, width: int, scheme: str) -> None:
        self.asked: list[str] = []
        self.complaints: list[str] = []
        self.view = browser.new_page(viewport={"width": width, "height": 800}, color_scheme=scheme)
        self.view.on("console", self._hear)
        self.view.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.view.on("dialog", lambda dialog: self.complaints.append(dialog.message))
        self.view.route("**/*", self._gate)
        self.view.goto(path.as_uri())
        wait_until_drawn(self.view)

    def _gate(self, route: playwright.Route) -> None:
        address = route.request.url
        if address.startswith(("file:", "data:", "blob:")):
            route.continue_()
        else:
            self.asked.append(address)
            route.abort()

    def _hear(self, message: playwright.ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.complaints.append(message.text)


@pytest.fixture(scope="module")
def seen(browser, folder) -> Iterator[dict[tuple[str, int], Seen]]:
    opened: dict[tuple[str, int], Seen] = {}

    class Opened(dict):
        def __missing__(self, key: tuple[str, int]) -> Seen:
            name, width = key
            self[key] = Seen(browser, folder / f"{name}.html", width, "light")
            return self[key]

    opened = Opened()
    yield opened
    for page in opened.values():
        page.view.close()


EACH = pytest.mark.parametrize(("name", "width"), [(n, w) for n in PAGES for w in WIDTHS], ids=str)


@EACH
def test_nothing_leaves_and_nothing_complains(seen, name, width):
    page = seen[name, width]
    assert page.asked == []
    assert page.complaints == []


@EACH
def test_the_page_never_scrolls_sideways(seen, name, width):
    view = seen[name, width].view
    wide = view.evaluate(
        """() => {
            document.querySelectorAll('details').forEach(d => { d.open = true; });
            const width = document.documentElement.scrollWidth;
            document.querySelectorAll('details').forEach(d => { d.open = false; });
            return [width, window.innerWidth];
        }"""
    )
    assert wide[0] <= wide[1]


@EACH
def test_every_chart_is_drawn_with_caption_and_numbers(seen, name, width):
    view = seen[name, width].view
    found = view.evaluate(
        """() => [...document.querySelectorAll('figure')].map(f => {
            const box = f.querySelector('.chart svg.main-svg').getBoundingClientRect();
            return {
                wide: box.width, tall: box.height, room: f.getBoundingClientRect().width,
                caption: f.querySelector('figcaption').innerText.length,
                rows: f.querySelectorAll('details table tbody tr').length,
                marks: f.querySelectorAll('.chart .trace').length,
            };
        })"""
    )
    assert len(found) == CHARTS[name]
    for chart in found:
        assert chart["wide"] > 250
        assert chart["wide"] <= chart["room"] + 1
        assert chart["tall"] > 80
        assert chart["caption"] > 40
        assert chart["rows"] > 0
        assert chart["marks"] > 0


@EACH
def test_words_in_charts_are_whole_legible_and_apart(seen, name, width):
    """No word of a chart is cut by its edge, smaller than 11 pixels, or on top of another."""
    faults = chart_words(seen[name, width].view)
    assert faults == []


@pytest.mark.parametrize("name", PAGES)
def test_markup_in_names_stays_text(seen, name):
    view = seen[name, 360].view
    assert view.title() != "taken"
    assert view.locator("b").count() == 0
    if name in ("estimate", "quote", "job", "unknown"):
        assert making.EVIL in view.locator(".subject").inner_text()
    if name == "index":
        assert making.EVIL in view.locator("a").first.inner_text()


def test_markup_in_hover_labels_stays_text(seen):
    """A job's mark says the job's name, letter by letter."""
    view = seen["crew", 1200].view
    chart = "[...document.querySelectorAll('.chart')].at(-1)"
    curve, point = view.evaluate(
        f"""() => {{
            const data = {chart}.data;
            const at = data.map(d => (d.text || []).findIndex(t => t.includes('東京')));
            const curve = at.findIndex(i => i >= 0);
            return [curve, at[curve]];
        }}"""
    )
    view.evaluate(f"Plotly.Fx.hover({chart}, [{{curveNumber: {curve}, pointNumber: {point}}}])")
    said = view.evaluate(f"{chart}.querySelector('.hoverlayer').textContent")
    assert "<script>" in said
    assert "<b>loud</b>" in said


def test_a_dark_screen_gets_dark_charts_and_paper_gets_light_ones(browser, folder):
    page = Seen(browser, folder / "overruns.html", 800, "dark")
    background = "document.querySelector('.chart svg.main-svg').style.background"
    word = "getComputedStyle(document.querySelector('.ytick text')).fill"
    assert page.view.evaluate(background) == "rgb(20, 24, 27)"
    assert page.view.evaluate(word) == "rgb(236, 234, 228)"
    page.view.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert page.view.evaluate(background) == "rgb(255, 255, 255)"
    assert page.view.evaluate(word) == "rgb(28, 34, 38)"
    sheet = page.view.evaluate(
        "(b => [b.width, b.height])(document.querySelector('.chart').getBoundingClientRect())"
    )
    # 8.5 in less two margins of 19 mm is 672 px; 11 in less two of 17 mm is 927 px.
    drawn = page.view.evaluate(
        "(b => [b.width, b.height])"
        "(document.querySelector('.chart svg.main-svg').getBoundingClientRect())"
    )
    assert drawn[0] <= 672
    assert max(sheet[1], drawn[1]) <= 720
    page.view.evaluate("window.dispatchEvent(new Event('afterprint'))")
    assert page.view.evaluate(background) == "rgb(20, 24, 27)"
    assert page.complaints == []
    page.view.close()


def test_numbers_can_be_reached_by_keyboard(seen):
    """Boxes that scroll take the focus, and say what they hold."""
    view = seen["overruns", 360].view
    boxes = view.locator("section .box")
    assert boxes.count() >= 2
    for i in range(boxes.count()):
        assert boxes.nth(i).get_attribute("tabindex") == "0"
        assert boxes.nth(i).get_attribute("aria-label")


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_option_prices_print_on_one_sheet(browser: playwright.Browser, folder: Path, paper: str):
    seen = Seen(browser, folder / "options.html", 1200, "light")
    printed = seen.view.pdf(format=paper, prefer_css_page_size=False)
    assert len(re.findall(rb"/Type /Page\b(?!s)", printed)) == 1


def test_the_field_of_jobs_by_phases_is_told_without_colour(seen):
    """Marks over and under plan differ in outline, not in tone alone, at phone width."""
    view = seen["overruns", 360].view
    shapes = view.evaluate(
        """() => {
            const title = [...document.querySelectorAll('.figure-title')]
                .find(t => t.innerText.startsWith('Job by job'));
            const chart = title.closest('figure').querySelector('.chart');
            return [...chart.querySelectorAll('.trace')].map(trace => {
                const paths = [...trace.querySelectorAll('path.point')];
                const style = getComputedStyle(paths[0]);
                return [paths[0].getAttribute('d'), style.fill === style.stroke];
            });
        }"""
    )
    assert len(shapes) >= 4
    assert len({tuple(s) for s in shapes}) == len(shapes)


def test_every_overruns_chart_fits_a_sheet_of_paper(browser, folder):
    """Letter and A4 leave 672 by 927 px between the margins; a chart keeps to one sheet."""
    page = Seen(browser, folder / "overruns.html", 800, "light")
    page.view.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    sizes = page.view.evaluate(
        """() => [...document.querySelectorAll('.chart')].map(c => {
            const b = c.querySelector('svg.main-svg').getBoundingClientRect();
            return [b.width, b.height];
        })"""
    )
    assert len(sizes) == CHARTS["overruns"]
    assert all(w <= 672 and h <= 720 for w, h in sizes), sizes
    page.view.close()
