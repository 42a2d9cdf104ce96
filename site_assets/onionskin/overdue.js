/* Days that have passed since the page was made: their marks show by the reader's own clock. */
(function () {
  "use strict";
  function two(number) { return (number < 10 ? "0" : "") + number; }

  var now = new Date();
  var today = [now.getFullYear(), two(now.getMonth() + 1), two(now.getDate())].join("-");
  document.querySelectorAll("[data-overdue]").forEach(function (mark) {
    if (mark.dataset.overdue < today) mark.hidden = false;
  });
})();
