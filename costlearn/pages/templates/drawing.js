(function () {
  "use strict";
  var dark = JSON.parse(document.getElementById("dark").textContent);
  var config = JSON.parse(document.getElementById("config").textContent);
  var screenIsDark = window.matchMedia("(prefers-color-scheme: dark)");
  var roomy = window.matchMedia("(min-width: 42rem)");
  // A chart on paper: 620 px fit between the margins of letter and A4, 700 px on one sheet.
  var paperWidth = 620;
  var paperHeight = 700;
  var round = 0;
  var drawnAt = 0;
  var soon = 0;
  var charts = Array.prototype.map.call(document.querySelectorAll(".chart"), function (box) {
    var source = document.getElementById(box.getAttribute("data-figure"));
    return { box: box, text: source.textContent };
  });

  function redress(part) {
    Object.keys(part).forEach(function (name) {
      var value = part[name];
      if (value && typeof value === "object") {
        redress(value);
      } else if (/color$/.test(name) && Object.prototype.hasOwnProperty.call(dark, value)) {
        part[name] = dark[value];
      }
    });
  }

  // Where there is room a chart has longer lines of words, more ticks, and is lower.
  function spread(layout) {
    var wide = (layout.meta && layout.meta.wide) || {};
    Object.keys(wide).forEach(function (name) {
      if (typeof wide[name] === "object") {
        Object.keys(wide[name]).forEach(function (part) { layout[name][part] = wide[name][part]; });
      } else {
        layout[name] = wide[name];
      }
    });
  }

  function draw(chart, inDark, width) {
    var figure = JSON.parse(chart.text);
    if (width || roomy.matches) {
      spread(figure.layout);
    }
    if (inDark) {
      redress(figure);
    }
    var zoom = width ? Math.min(1, paperHeight / figure.layout.height) : 1;
    chart.box.style.zoom = zoom < 1 ? zoom : "";
    figure.layout.autosize = false;
    figure.layout.width = width ? Math.floor(width / zoom) : chart.box.clientWidth;
    if (width) {
      figure.layout.paper_bgcolor = figure.layout.plot_bgcolor = "#ffffff";
    }
    if (!chart.drawn) {
      chart.box.textContent = "";
      chart.drawn = true;
    }
    return window.Plotly.react(chart.box, figure.data, figure.layout, config);
  }

  // One chart after another, so that the page can be read and scrolled in between.
  function drawForScreen() {
    var mine = ++round;
    drawnAt = window.innerWidth;
    function next(i) {
      if (i < charts.length && mine === round) {
        draw(charts[i], screenIsDark.matches, 0);
        window.setTimeout(next, 0, i + 1);
      }
    }
    next(0);
  }

  function drawForPaper() {
    round += 1;
    charts.forEach(function (chart) { draw(chart, false, paperWidth); });
  }

  drawForScreen();
  screenIsDark.addEventListener("change", drawForScreen);
  // The library's own answer to a new width would forget the heights.
  window.addEventListener("resize", function () {
    window.clearTimeout(soon);
    soon = window.setTimeout(function () {
      if (window.innerWidth !== drawnAt) { drawForScreen(); }
    }, 150);
  });
  window.addEventListener("beforeprint", drawForPaper);
  window.addEventListener("afterprint", drawForScreen);
})();
