/* Parts written for one machine, or for a few: only the parts of the picked machine are shown. */
(function () {
  "use strict";
  var machines = window.OnionskinMachine;
  if (!machines) return;
  machines.watch(function (machine) {
    document.querySelectorAll("[data-for]").forEach(function (part) { part.hidden = part.dataset.for.split(" ").indexOf(machine.id) < 0; });
  });
})();
