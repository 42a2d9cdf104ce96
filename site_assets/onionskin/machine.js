/* Which machine the page is for, and its facts. `mine` is the learner's own: what its owner said of it, kept in
   this browser as { facts: { name: value } }; all else about it is unknown. */
(function () {
  "use strict";
  var course = window.ONIONSKIN;
  if (!course) return;
  var store = window.OnionskinStore, limits = window.OnionskinFacts;
  var watchers = [];

  function known(id) { return Object.prototype.hasOwnProperty.call(course.machines, id); }

  function isGroup(value) { return typeof value === "object" && value !== null && !Array.isArray(value); }

  function goodMine(kept) { return isGroup(kept) && isGroup(kept.facts); }

  /* Once a machine was kept as what differs from one of the course. What may be copied of that one still counts. */
  function copiedFrom(id) {
    var given = known(id) ? course.machines[id].facts : {};
    return Object.keys(given).reduce(function (facts, name) {
      if (course.facts[name].copied) facts[name] = given[name];
      return facts;
    }, {});
  }

  /* What the learner has said of the machine, faults and all; null where nothing is kept. */
  function mine() {
    var kept = store.read("mine", goodMine);
    return kept && Object.assign(copiedFrom(kept.from), kept.facts);
  }

  function factsOf(id) {
    if (id !== "mine") return course.machines[id].facts;
    return Object.assign({}, course.blank, limits.sound(mine()));
  }

  function current() {
    var id = store.read("machine", function (kept) { return kept === "mine" ? mine() !== null : known(kept); });
    id = id || course.defaultMachine;
    return { id: id, name: nameOf(id), facts: factsOf(id) };
  }

  function nameOf(id) {
    if (id !== "mine") return course.machines[id].name;
    return factsOf("mine")["machine.name"];
  }

  /* Ids to choose from, the learner's own last. */
  function ids() { return Object.keys(course.machines).concat(mine() ? ["mine"] : []); }

  function tell() {
    var machine = current();
    watchers.forEach(function (watcher) { watcher(machine); });
  }

  function pick(id) {
    store.write("machine", id);
    tell();
  }

  function keepMine(facts) {
    store.write("mine", { facts: facts });
    pick("mine");
  }

  function dropMine() {
    store.remove("mine");
    pick(course.defaultMachine);
  }

  /* Calls `watcher` with the machine now and at every change, in the order of the calls to watch. */
  function watch(watcher) {
    watchers.push(watcher);
    watcher(current());
  }

  window.OnionskinMachine = {
    current: current, ids: ids, nameOf: nameOf, pick: pick, mine: mine, keepMine: keepMine, dropMine: dropMine, watch: watch
  };
})();
