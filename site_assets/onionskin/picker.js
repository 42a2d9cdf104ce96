/* The choice of machine in the head of every page. */
(function () {
  "use strict";
  var machines = window.OnionskinMachine;
  if (!machines) return;

  function option(id) {
    var entry = document.createElement("option");
    entry.value = id;
    entry.textContent = machines.nameOf(id);
    return entry;
  }

  document.querySelectorAll("select[data-machine-picker]").forEach(function (select) {
    machines.watch(function (machine) {
      select.replaceChildren.apply(select, machines.ids().map(option));
      select.value = machine.id;
    });
    select.addEventListener("change", function () { machines.pick(select.value); });
    select.closest("label").hidden = false;
  });
})();
