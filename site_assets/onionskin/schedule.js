/* When a quiz was passed, and which review of it comes next. Kept as the list of days on which it was passed,
   as written by the device's own clock. A review counts as done when the quiz was passed on its day or later. */
(function () {
  "use strict";
  var store = window.OnionskinStore;
  var MOST = 40;

  function good(kept) {
    return Array.isArray(kept) && kept.length > 0 && kept.length <= MOST &&
      kept.every(function (iso) { return typeof iso === "string" && !Number.isNaN(Date.parse(iso)); });
  }

  function passes(id) { return (store.read("passes." + id, good) || []).slice().sort(); }

  /* The first pass sets the days and is never dropped. */
  function note(id, iso) {
    var kept = passes(id).concat(iso);
    store.write("passes." + id, kept.length > MOST ? [kept[0]].concat(kept.slice(1 - MOST)) : kept);
  }

  function dayOf(date) { return new Date(date.getFullYear(), date.getMonth(), date.getDate()); }

  function later(date, days) { return new Date(date.getFullYear(), date.getMonth(), date.getDate() + days); }

  /* First pass, each review with its day and whether it is done, and the first one open; null before a pass. */
  function plan(id, days) {
    var kept = passes(id).map(function (iso) { return dayOf(new Date(iso)); });
    if (!kept.length) return null;
    var last = kept[kept.length - 1];
    var reviews = days.map(function (day) {
      var on = later(kept[0], day);
      return { day: day, on: on, done: last >= on };
    });
    return { first: kept[0], reviews: reviews, next: reviews.find(function (review) { return !review.done; }) || null };
  }

  function forget(id) { store.remove("passes." + id); }

  window.OnionskinSchedule = { note: note, plan: plan, forget: forget, today: function () { return dayOf(new Date()); } };
})();
