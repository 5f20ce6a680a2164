"use strict";
(function () {
  var starts = JSON.parse(document.getElementById("starts").textContent);
  var slider = document.getElementById("slider");
  var box = document.getElementById("slider-box");
  if (!slider || !starts.length) { return; }
  function put(id, text) { document.getElementById(id).textContent = text; }
  function move(id, x) {
    var line = document.getElementById(id);
    if (line) { line.setAttribute("x1", x); line.setAttribute("x2", x); }
  }
  function show() {
    var start = starts[Number(slider.value)];
    put("chosen-start", start.start + ": " + start.verdict);
    ["utilisation", "chance", "margin", "governed", "words", "stage", "where", "when"].forEach(function (name) {
      put("chosen-" + name, start[name]);
    });
    slider.setAttribute("aria-valuetext", start.start + ", " + start.verdict);
    move("start-marker", start.start_px);
    move("worst-marker", start.when_px);
    move("road-marker", start.where_px);
    move("rose-marker", start.where_px);
  }
  slider.addEventListener("input", show);
  box.hidden = false;
  show();
}());
