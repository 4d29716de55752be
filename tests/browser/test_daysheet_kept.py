"""What the day sheet keeps, where it keeps nothing, and whether everybody can use it.

Needs a Chromium on the machine (Debian: ``apt install chromium``); without one these are skipped.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from day_phone import Phone, work
from picture import browser_path

playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = pytest.mark.skipif(browser_path() is None, reason="no Chromium on this machine")


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
