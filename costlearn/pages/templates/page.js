(function () {
  "use strict";
  var dark = JSON.parse(document.getElementById("dark").textContent);
  var config = JSON.parse(document.getElementById("config").textContent);
  var screenIsDark = window.matchMedia("(prefers-color-scheme: dark)");
  // A chart on paper: 620 px fit between the margins of letter and A4, 700 px on one sheet.
  var paperWidth = 620;
  var paperHeight = 700;
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

  function draw(chart, inDark, width) {
    var figure = JSON.parse(chart.text);
    if (inDark) {
      redress(figure);
    }
    var zoom = width ? Math.min(1, paperHeight / figure.layout.height) : 1;
    chart.box.style.zoom = zoom < 1 ? zoom : "";
    if (width) {
      figure.layout.width = Math.floor(width / zoom);
      figure.layout.autosize = false;
      figure.layout.paper_bgcolor = figure.layout.plot_bgcolor = "#ffffff";
    }
    return window.Plotly.react(chart.box, figure.data, figure.layout, config);
  }

  function drawAll() {
    charts.forEach(function (chart) { draw(chart, screenIsDark.matches, 0); });
  }

  drawAll();
  screenIsDark.addEventListener("change", drawAll);
  window.addEventListener("beforeprint", function () {
    charts.forEach(function (chart) { draw(chart, false, paperWidth); });
  });
  window.addEventListener("afterprint", drawAll);
})();
