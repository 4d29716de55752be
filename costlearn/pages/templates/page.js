(function () {
  "use strict";
  var dark = JSON.parse(document.getElementById("dark").textContent);
  var config = JSON.parse(document.getElementById("config").textContent);
  var screenIsDark = window.matchMedia("(prefers-color-scheme: dark)");
  var paperWidth = 620;
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
    if (width) {
      figure.layout.width = width;
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
