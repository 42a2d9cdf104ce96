/* Which machine the page is for, and its facts. `mine` is the learner's own: a machine of the course
   with some facts changed, kept in this browser as { from: id, facts: { name: value } }. */
(function () {
  "use strict";
  var course = window.ONIONSKIN;
  if (!course) return;
  var store = window.OnionskinStore, rulesOfFacts = window.OnionskinFacts;
  var watchers = [];
  /* The form asks for no stop controls, and those of the machine it was copied from are not the learner's. */
  var UNTOLD = { "stop.controls": null, "stop.controls_tested": null, "stop.main_control": null, "stop.spindle_control": null };

  function known(id) { return Object.prototype.hasOwnProperty.call(course.machines, id); }

  function goodMine(kept) {
    return typeof kept === "object" && known(kept.from) && typeof kept.facts === "object" && kept.facts !== null &&
      Object.keys(kept.facts).every(function (name) { return rulesOfFacts.faultOf(name, kept.facts[name]) === null; });
  }

  function mine() { return store.read("mine", goodMine); }

  function factsOf(id) {
    if (id !== "mine") return course.machines[id].facts;
    return Object.assign({}, course.machines[mine().from].facts, UNTOLD, mine().facts);
  }

  function current() {
    var id = store.read("machine", function (kept) { return kept === "mine" ? mine() !== null : known(kept); });
    id = id || course.defaultMachine;
    return { id: id, name: nameOf(id), facts: factsOf(id) };
  }

  function nameOf(id) {
    if (id !== "mine") return course.machines[id].name;
    return mine().facts["machine.name"] || "My machine";
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

  function keepMine(own) {
    store.write("mine", own);
    pick("mine");
  }

  function dropMine() {
    var from = mine() ? mine().from : course.defaultMachine;
    store.remove("mine");
    pick(from);
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
