/* Parts written for one machine each: only the part of the picked machine is shown. */
(function () {
  "use strict";
  var machines = window.OnionskinMachine;
  if (!machines) return;
  machines.watch(function (machine) {
    document.querySelectorAll("[data-for]").forEach(function (part) { part.hidden = part.dataset.for !== machine.id; });
  });
})();
