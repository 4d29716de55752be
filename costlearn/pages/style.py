"""The look of all pages, written down once: colours, letter sizes, distances, widths.

A page is set like a short printed report: one column, the answer large in its first sentence, one
family of letters, thin rules, no boxes. Style sheet and charts take every value from here.

Colours are few and have one meaning each. Text keeps 4.5 to 1 against the page and marks 3 to 1
(W3C, Web Content Accessibility Guidelines 2.2, criteria 1.4.3 and 1.4.11); any two data colours
stay apart with every kind of colour vision, and shape or place says the same again. The tests
compute this from the values below.
"""

from __future__ import annotations

TONES = {
    "ink": ("#1c2226", "#eceae4"),
    "muted": ("#545d64", "#b3b9bd"),
    "rule": ("#d9d6cd", "#3a4248"),
    "paper": ("#fcfbf8", "#14181b"),
    "main": ("#17507d", "#8fc1ea"),
    "middle": ("#6292bb", "#4f80a8"),
    "faint": ("#858d93", "#7d868c"),
    "signal": ("#a8431c", "#f2986f"),
    "third": ("#7d2fd0", "#b47cff"),
}
"""Name to (light, dark): words, quiet words, lines, page; then data: a firm figure, a range, a
single record, what to look at, a third kind of thing."""

TEXT_TONES = ("ink", "muted", "main", "signal", "third")
"""What words may be set in."""
DATA_TONES = ("ink", "main", "middle", "faint", "signal", "third")
"""What marks and bands may be drawn in."""

FONT = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Noto Sans', 'Liberation Sans', sans-serif"

SIZES = {
    "small": 0.9375,
    "text": 1.0625,
    "head": 1.1875,
    "title": 1.5,
    "long": 1.25,
    "long-wide": 1.4375,
    "answer": 1.4375,
    "answer-wide": 1.75,
}
"""Letters on a screen, in the reader's own base size (rem): nothing is set smaller than 15 px of
16. ``long`` is an answer of many words."""

PRINT_SIZES = {
    "crowd": 6.5,
    "many": 7.75,
    "small": 9,
    "text": 10.5,
    "head": 11.5,
    "answer": 15,
    "long": 13,
}
"""Letters on paper, in points; ``many`` for a table of 7 columns and more,
``crowd`` for one of 10."""

CHART_SIZES = {"words": 13, "ticks": 12, "under": 11}
"""Letters in a chart, in pixels; never smaller than the last."""

GAPS = {"hair": 0.25, "line": 0.5, "block": 0.75, "part": 1.5, "section": 2.5}
"""Distances between things, in rem, each about twice the one before."""

WIDTHS = {"words": 40, "page": 52}
"""How wide a paragraph and the page may grow, in rem: about 75 letters, about 830 px."""
