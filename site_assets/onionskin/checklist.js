/* Ticks of a checklist, kept for each machine. A tick counts for the day it was made: yesterday's look
   at a clamp says nothing about today. Items hidden for this machine are not counted. */
(function () {
  "use strict";
  var machines = window.OnionskinMachine, store = window.OnionskinStore;
  if (!machines) return;

  function today() {
    var now = new Date();
    return [now.getFullYear(), now.getMonth() + 1, now.getDate()].join("-");
  }

  function goodTicks(kept) {
    return typeof kept === "object" && kept.day === today() && Array.isArray(kept.items);
  }

  function idOf(item) { return item.dataset.item; }

  function shown(item) { return item.closest("[hidden]") === null; }

  function begin(list) {
    var items = Array.from(list.querySelectorAll("[data-item]"));
    var ids = items.map(idOf), key, day;

    function box(item) { return item.querySelector("input[type=checkbox]"); }

    function restore(machine) {
      key = "ticks." + list.dataset.checklist + "." + machine.id;
      show();
    }

    function show() {
      var kept = store.read(key, goodTicks);
      day = today();
      items.forEach(function (item) {
        box(item).checked = kept !== null && kept.items.indexOf(item.dataset.item) >= 0;
      });
      count();
    }

    function count() {
      var asked = items.filter(shown);
      var left = asked.filter(function (item) { return !box(item).checked; });
      list.querySelectorAll("[data-count]").forEach(function (place) {
        place.textContent = asked.length - left.length + " of " + asked.length + " ticked";
      });
      list.querySelectorAll(".os-point").forEach(function (point) {
        var open = left.some(function (item) { return point.contains(item); });
        point.classList.toggle("os-point--done", !open && point.querySelector(":checked") !== null);
      });
    }

    /* A page with one point of the list keeps the ticks of the others. */
    function elsewhere() {
      var kept = store.read(key, goodTicks);
      return kept === null ? [] : kept.items.filter(function (id) { return ids.indexOf(id) < 0; });
    }

    function keep() {
      var ticked = items.filter(function (item) { return box(item).checked; });
      store.write(key, { day: today(), items: elsewhere().concat(ticked.map(idOf)) });
      count();
    }

    /* A page left open overnight still shows last evening's ticks. */
    function freshen() { if (day !== today()) show(); }

    function tick(event) {
      var made = event.target, ticked = made.checked;
      freshen();
      made.checked = ticked;
      keep();
    }

    function clear() {
      if (!window.confirm("Take away all ticks of this list for this machine?")) return;
      items.forEach(function (item) { box(item).checked = false; });
      keep();
    }

    list.addEventListener("change", tick);
    document.addEventListener("visibilitychange", freshen);
    list.querySelectorAll("[data-reset]").forEach(function (button) {
      button.hidden = false;
      button.addEventListener("click", clear);
    });
    machines.watch(restore);
  }

  document.querySelectorAll("[data-checklist]").forEach(begin);
})();
