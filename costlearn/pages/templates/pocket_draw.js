"use strict";
/* The pictures of the sheet: nested ranges as plain SVG, drawn from figures that are given. */
const Draw = (() => {
  const WIDTH = 360;
  const SVG = "http://www.w3.org/2000/svg";

  function node(name, attributes = {}, ...inside) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  }

  function html(name, attributes = {}, ...inside) {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...inside);
    return made;
  }

  /* Round steps for an axis, some three to five of them. */
  function ticks(low, high) {
    const rough = (high - low) / 3.5;
    const size = 10 ** Math.floor(Math.log10(rough));
    const step = [1, 2, 2.5, 5, 10].map((m) => m * size).find((s) => s >= rough);
    const found = [];
    for (let i = Math.ceil(low / step); i * step <= high; i += 1) found.push(i * step);
    return found;
  }

  const rect = (kind, from, to, y, height) =>
    node("rect", { class: kind, x: from, y: y - height / 2, width: Math.max(to - from, 1), height });

  /* Rows of nested ranges on one axis. Each row: label, said (its range in words), half, most,
     middle; asked is a value to be marked, if there is one. */
  function ranges({ rows, asked, say, name }) {
    const ends = rows.flatMap((r) => [r.most.low, r.most.high]);
    if (asked) ends.push(asked);
    let low = Math.min(...ends);
    let high = Math.max(...ends);
    if (rows.length > 1) low = 0;
    const room = (high - low) * 0.06 || 1;
    low = Math.max(0, low - room);
    high += room;
    const at = (v) => ((v - low) / (high - low)) * (WIDTH - 16) + 8;
    const rowHeight = rows.length > 1 ? 54 : 44;
    const bottom = rows.length * rowHeight + 6;
    const svg = node("svg", { viewBox: `0 0 ${WIDTH} ${bottom + 26}`, role: "img", "aria-label": name });
    for (const tick of ticks(low, high)) {
      svg.append(node("line", { class: "line", x1: at(tick), x2: at(tick), y1: 0, y2: bottom }));
      const anchor = at(tick) > WIDTH - 30 ? "end" : at(tick) < 30 ? "start" : "middle";
      svg.append(node("text", { class: "quiet", x: at(tick), y: bottom + 18, "text-anchor": anchor }, say(tick)));
    }
    rows.forEach((row, i) => {
      const top = i * rowHeight;
      const y = top + rowHeight - 17;
      svg.append(node("text", { x: 0, y: top + 14 }, row.label));
      svg.append(node("text", { x: WIDTH, y: top + 14, "text-anchor": "end" }, row.said));
      svg.append(rect("wide", at(row.most.low), at(row.most.high), y, 12));
      svg.append(rect("half", at(row.half.low), at(row.half.high), y, 20));
      svg.append(rect("mid", at(row.middle) - 2, at(row.middle) + 2, y, 28));
    });
    if (asked) svg.append(node("line", { class: "ask", x1: at(asked), x2: at(asked), y1: 18, y2: bottom }));
    return svg;
  }

  function sign(kind) {
    const svg = node("svg", { viewBox: "0 0 22 14", "aria-hidden": "true" });
    if (kind === "ask") svg.append(node("line", { class: "ask", x1: 11, x2: 11, y1: 0, y2: 14 }));
    else if (kind === "mid") svg.append(rect(kind, 9, 13, 7, 14));
    else svg.append(rect(kind, 0, 22, 7, kind === "half" ? 14 : 8));
    return svg;
  }

  function figure(title, svg, caption, asked) {
    const keys = [["half", "5 in 10 end in here"], ["wide", "8 in 10"], ["mid", "middle"]];
    if (asked) keys.push(["ask", asked]);
    return html("figure", {},
      html("p", { class: "figure-title" }, title),
      html("ul", { class: "key" }, ...keys.map(([kind, text]) => html("li", {}, sign(kind), text))),
      svg,
      html("figcaption", {}, caption));
  }

  /* A table: caption, heads, rows of texts; the first cell of a row names it. */
  function table(into, caption, heads, rows) {
    into.replaceChildren(
      html("caption", {}, caption),
      html("thead", {}, html("tr", {}, ...heads.map((h) => html("th", { scope: "col" }, h)))),
      html("tbody", {}, ...rows.map(([first, ...rest]) =>
        html("tr", {}, html("th", { scope: "row" }, first), ...rest.map((c) => html("td", {}, c))))),
    );
  }

  const lines = (into, texts) => into.replaceChildren(...texts.map((t) => html("li", {}, t)));

  return { ranges, figure, table, lines, html };
})();
