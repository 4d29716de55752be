"""Answers in a notebook: a small piece of HTML in the notebook's own look, and one picture.

Importing this module teaches answers to show themselves; ``import costlearn`` and its questions do
so. What is heavy loads when a picture is asked for.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from costlearn.errors import InputProblem
from costlearn.questions.answer import Answer, Shown, Table, show_with
from costlearn.units import say_count

if TYPE_CHECKING:
    import plotly.graph_objects as go

MOST_ROWS = 60
"""Rows of one table shown in a notebook; ``to_frame`` and the page have them all."""


def answer_html(answer: Answer) -> str:
    """An answer as a piece of HTML: sentence, tables, what it rests on, cautions; all escaped."""
    grounds = answer.grounds
    count = say_count(grounds.jobs, "finished job")
    rests = "; ".join(p for p in (count, grounds.span, grounds.prices.rstrip(".")) if p)
    parts = [f"<p><strong>{escape(answer.sentence)}</strong></p>"]
    parts += [f"<p>{escape(line)}</p>" for line in getattr(answer, "outside", ())]
    parts += [_table(table) for table in answer.tables()]
    told = f"Rests on {rests}" if answer.known else f"On file: {count}"
    parts.append(f"<p>{escape(told)}.</p>")
    for title, lines in (("How", grounds.notes), ("Cautions", answer.cautions)):
        if lines:
            items = "".join(f"<li>{escape(line)}</li>" for line in lines)
            parts.append(f"<p>{title}</p><ul>{items}</ul>")
    return f'<div class="costlearn">{"".join(parts)}</div>'


def answer_figure(answer: Answer) -> go.Figure:
    """The first picture of an answer's page, in the look of the page.

    Raises:
        InputProblem: its page has no picture, or nothing is known.
    """
    from costlearn.pages.write import sheet_of

    sheet = sheet_of(answer) if answer.known else None
    if sheet is None or not sheet.pictures:
        raise InputProblem("this answer has no picture", expected="one whose page shows a picture")
    first = sheet.pictures[0]
    figure = first.figure
    figure.layout.meta = {"title": first.title, "caption": first.caption}
    return figure


def _table(table: Table) -> str:
    heads = "".join(f'<th scope="col">{escape(head)}</th>' for head in table.heads)
    rows = "".join(
        f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>"
        for row in table.rows[:MOST_ROWS]
    )
    left = len(table.rows) - MOST_ROWS
    more = f"{say_count(left, 'more row')}: see to_frame() or the page." if left > 0 else ""
    notes = "".join(f"<p><small>{escape(n)}</small></p>" for n in (table.note, more) if n)
    return (
        f"<table><caption>{escape(table.caption)}</caption><thead><tr>{heads}</tr></thead>"
        f"<tbody>{rows}</tbody></table>{notes}"
    )


show_with(Shown(answer_html, answer_figure))
