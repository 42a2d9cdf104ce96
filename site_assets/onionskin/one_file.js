/* In the one-file course a print button prints its own section, and not the whole file. */
(function () {
  "use strict";
  function mark(section) {
    document.body.classList.add("os-prints-one");
    section.classList.add("os-printed");
  }

  function unmark() {
    document.body.classList.remove("os-prints-one");
    document.querySelectorAll(".os-printed").forEach(function (section) { section.classList.remove("os-printed"); });
  }

  document.addEventListener("click", function (event) {
    var button = event.target.closest("button[data-print]");
    if (button) mark(button.closest(".os-page"));
  }, true);
  window.addEventListener("afterprint", unmark);
})();
