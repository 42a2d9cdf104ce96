/* Small things of every page: printing with folds open, and keys for what the theme opens by mouse only. */
(function () {
  "use strict";
  var opened = [];

  window.addEventListener("beforeprint", function () {
    opened = Array.from(document.querySelectorAll(".md-typeset details:not([open], .os-answer, .os-choice, .os-control)"));
    opened.forEach(function (fold) { fold.open = true; });
  });

  window.addEventListener("afterprint", function () {
    opened.forEach(function (fold) { fold.open = false; });
    opened = [];
  });

  document.querySelectorAll(".os-without-script").forEach(function (part) { part.hidden = true; });

  document.querySelectorAll("button[data-print]").forEach(function (button) {
    button.hidden = false;
    button.addEventListener("click", function () { window.print(); });
  });

  /* The theme opens its menu and its search by labels, which no key reaches; with script they are buttons. */
  document.querySelectorAll("label[data-opens]").forEach(function (label) {
    var button = document.createElement("button");
    button.type = "button";
    button.className = label.className;
    button.setAttribute("aria-label", label.getAttribute("aria-label"));
    button.append.apply(button, Array.from(label.childNodes));
    button.addEventListener("click", function () { document.getElementById(label.dataset.opens).click(); });
    label.replaceWith(button);
  });
})();
