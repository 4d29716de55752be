"""What is wrong with a page as it stands in the browser: each look gives a list of faults.

The rules of accessibility are those of axe-core, a general library of tests for the W3C's Web
Content Accessibility Guidelines; it comes with the package ``axe-playwright-python``.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote, urlsplit
from urllib.request import url2pathname

if TYPE_CHECKING:
    from playwright.sync_api import Page

GRAVE = ("serious", "critical")

OPEN_ALL = "document.querySelectorAll('details').forEach(d => { d.open = true; })"
SHUT_ALL = "document.querySelectorAll('details').forEach(d => { d.open = false; })"

CHART_WORDS = """() => {
    const faults = [];
    document.querySelectorAll('.chart').forEach(chart => {
        const edge = chart.getBoundingClientRect();
        const picked = '.xtick text, .ytick text, .annotation-text, .xtitle, .ytitle';
        const texts = [...chart.querySelectorAll(picked)];
        const boxes = texts.map(t => t.getBoundingClientRect());
        texts.forEach((t, i) => {
            const b = boxes[i];
            if (b.left < edge.left - 1 || b.right > edge.right + 1 ||
                b.top < edge.top - 1 || b.bottom > edge.bottom + 1)
                faults.push('cut: ' + t.textContent);
            [t, ...t.querySelectorAll('tspan')].forEach(part => {
                if (parseFloat(getComputedStyle(part).fontSize) < 11)
                    faults.push('small: ' + part.textContent);
            });
            boxes.slice(0, i).forEach((o, k) => {
                const across = Math.min(b.right, o.right) - Math.max(b.left, o.left);
                const down = Math.min(b.bottom, o.bottom) - Math.max(b.top, o.top);
                if (across > 1 && down > 2)
                    faults.push('over: ' + t.textContent + ' / ' + texts[k].textContent);
            });
        });
    });
    return faults;
}"""

# Words stand inside the page, and words of a table inside their own cell.
PAGE_WORDS = """() => {
    const faults = [];
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const range = document.createRange();
    while (walk.nextNode()) {
        const words = walk.currentNode;
        const holder = words.parentElement;
        if (!words.data.trim() || holder.closest('script, style, svg, .chart')) continue;
        range.selectNodeContents(words);
        const cell = holder.closest('td, th');
        const inside = (cell || document.documentElement).getBoundingClientRect();
        const right = cell ? inside.right : window.innerWidth;
        const left = cell ? inside.left : 0;
        for (const b of range.getClientRects())
            if (b.width && (b.left < left - 1 || b.right > right + 1)) {
                faults.push(words.data.trim().slice(0, 60));
                break;
            }
    }
    return faults;
}"""


def sideways(view: Page) -> list[str]:
    """How far the page is wider than the screen, with everything unfolded."""
    view.evaluate(OPEN_ALL)
    wide, room = view.evaluate("[document.documentElement.scrollWidth, window.innerWidth]")
    return [] if wide <= room else [f"{wide} px wide on a screen of {room}"]


def chart_words(view: Page) -> list[str]:
    """Words of a chart that its edge cuts, that are under 11 pixels, or on top of another."""
    found: list[str] = view.evaluate(CHART_WORDS)
    return found


def page_words(view: Page) -> list[str]:
    """Words that stick out of the page or of their cell, with everything unfolded."""
    view.evaluate(OPEN_ALL)
    found: list[str] = view.evaluate(PAGE_WORDS)
    return found


def dead_links(view: Page) -> list[str]:
    """Links to a file that is not there, or to a place no page has; files within a link count."""
    links = view.evaluate("[...document.querySelectorAll('a')].map(a => [a.href, a.download])")
    dead = []
    for address, saved_as in links:
        parts = urlsplit(address)
        if parts.scheme == "data":
            if not saved_as:
                dead.append(address[:60])
        elif parts.scheme != "file" or not Path(url2pathname(unquote(parts.path))).is_file():
            dead.append(address)
    return dead


def barriers(view: Page) -> list[str]:
    """Serious and critical findings of axe-core, each with the first element it names."""
    return _axe(view, "{}")


def pale_words(view: Page) -> list[str]:
    """Of these, words too near in tone to what is behind them."""
    return _axe(view, "{runOnly: ['color-contrast']}")


def _axe(view: Page, options: str) -> list[str]:
    """What axe-core finds; a chart is one image to it, told by its caption and table."""
    from axe_playwright_python.base import AXE_SCRIPT

    view.evaluate(OPEN_ALL)
    view.evaluate(AXE_SCRIPT)
    run = f"async () => (await axe.run({{exclude: ['.chart > *']}}, {options})).violations"
    found: list[dict[str, Any]] = view.evaluate(run)
    return [
        f"{v['id']} ({v['impact']}): {v['nodes'][0]['html'][:120]}, {len(v['nodes'])} such"
        for v in found
        if v["impact"] in GRAVE
    ]
