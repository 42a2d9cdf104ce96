/* Steps to put in order: each step gets a button up and a button down, so nothing needs dragging. */
(function () {
  "use strict";

  function button(step, word, sign, move) {
    var made = document.createElement("button");
    made.type = "button";
    made.className = "os-move";
    made.textContent = sign;
    made.setAttribute("aria-label", word + ": " + step.textContent.trim());
    made.addEventListener("click", function () {
      move(step);
      made.focus();
    });
    return made;
  }

  function up(step) {
    if (step.previousElementSibling) step.previousElementSibling.before(step);
  }

  function down(step) {
    if (step.nextElementSibling) step.nextElementSibling.after(step);
  }

  document.querySelectorAll("[data-order]").forEach(function (list) {
    Array.from(list.children).forEach(function (step) {
      var pair = [button(step, "Move up", "↑", up), button(step, "Move down", "↓", down)];
      step.append.apply(step, pair);
    });
  });
})();
