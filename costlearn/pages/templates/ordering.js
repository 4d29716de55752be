(function () {
  "use strict";
  var next = { none: "ascending", ascending: "descending", descending: "none" };

  function order(table, given, column, way) {
    function place(row) { return Number(row.cells[column].getAttribute("data-place")); }
    function known(row) { return row.cells[column].hasAttribute("data-place"); }
    var rows = given.slice();
    if (way !== "none") {
      // What is not known stays last either way; equal rows keep the order they were given in.
      rows.sort(function (a, b) {
        if (known(a) !== known(b)) { return known(a) ? -1 : 1; }
        return known(a) ? (place(a) - place(b)) * (way === "ascending" ? 1 : -1) : 0;
      });
    }
    rows.forEach(function (row) { table.tBodies[0].appendChild(row); });
  }

  Array.prototype.forEach.call(document.querySelectorAll("table.orderly"), function (table) {
    var given = Array.prototype.slice.call(table.tBodies[0].rows);
    var heads = Array.prototype.slice.call(table.tHead.rows[0].cells);
    heads.forEach(function (head, column) {
      if (!head.textContent.trim()) { return; }
      var button = document.createElement("button");
      button.type = "button";
      while (head.firstChild) { button.appendChild(head.firstChild); }
      head.appendChild(button);
      head.setAttribute("aria-sort", "none");
      button.addEventListener("click", function () {
        var way = next[head.getAttribute("aria-sort")];
        heads.forEach(function (other) {
          if (other.hasAttribute("aria-sort")) { other.setAttribute("aria-sort", "none"); }
        });
        head.setAttribute("aria-sort", way);
        order(table, given, column, way);
      });
    });
  });
})();
