/* Figures drawn anew for other values. A figure is its svg element, marked with its id, or a place for one. */
(function () {
  "use strict";
  var figures = window.OnionskinFigures;

  function redraw(place, id, scope) {
    var above = place.parentElement;
    if (!figures || !id || !above || above.closest("[data-figure]")) return;
    var drawing = figures.draw(id, scope);
    if (place.tagName.toLowerCase() === "svg") place.outerHTML = drawing;
    else place.innerHTML = drawing;
  }

  window.OnionskinRedraw = redraw;
})();
