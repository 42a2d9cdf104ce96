/* The code of a sheet printed for the learner's own machine: of what the sheet is made from and of that machine's
   facts, so that a stale one can be told as well. It is not in the list of sheets: that page is made elsewhere. */
(function () {
  "use strict";
  var machines = window.OnionskinMachine, digest = window.OnionskinDigest;
  if (!machines) return;

  function said(facts) {
    return encodeURIComponent(JSON.stringify(Object.keys(facts).sort().map(function (name) { return [name, facts[name]]; })));
  }

  machines.watch(function (machine) {
    if (machine.id !== "mine") return;
    document.querySelectorAll("[data-base]").forEach(function (place) {
      place.textContent = digest(place.dataset.base + said(machine.facts)).slice(0, 8) + ", of your own machine";
    });
  });
})();
