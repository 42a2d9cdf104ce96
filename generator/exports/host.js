/* Tells a SCORM 1.2 host, where there is one, which quizzes this learner has passed; without a host it does nothing.
   Passing all quizzes is "passed", never "may run the machine": that is signed off beside it. Several learners may
   share a browser, so results found at the start count for nobody: only what is passed during the visit counts,
   with what the host kept from this learner's earlier visits. No name is asked for or kept. */
(function () {
  "use strict";
  var ROOM = 4096;  // letters of cmi.suspend_data that SCORM 1.2 promises
  var frame = document.querySelector("iframe[data-lessons]");
  var lessons = frame.dataset.lessons.split(" ");
  var api = above(window) || (window.opener ? above(window.opener) : null);
  var found = null, passed, over = false;
  if (!api || call("LMSInitialize", "") !== "true") return;

  function above(place) {
    try {
      for (var steps = 0; steps < 20; steps += 1) {
        if (place.API) return place.API;
        if (place.parent === place) return null;
        place = place.parent;
      }
    } catch (error) {
      return null;  // the page above belongs to another site
    }
    return null;
  }

  function call(name, first, second) {
    try {
      return String(second === undefined ? api[name](first) : api[name](first, second));
    } catch (error) {
      return "";
    }
  }

  function tell(name, value) { call("LMSSetValue", "cmi." + name, value); }
  function ask(name) { return call("LMSGetValue", "cmi." + name); }

  /* The results now in the browser, each as text; null while the course is still loading. */
  function results() {
    try {
      var store = frame.contentWindow.OnionskinStore;
      return store ? lessons.map(function (id) { return JSON.stringify(store.read("quiz." + id, Boolean)); }) : null;
    } catch (error) {
      return null;
    }
  }

  function report() {
    var all = passed.length === lessons.length;
    tell("core.score.min", "0");
    tell("core.score.max", "100");
    tell("core.score.raw", String(Math.floor(100 * passed.length / lessons.length)));
    tell("core.lesson_status", all ? "passed" : "incomplete");
    tell("core.exit", all ? "" : "suspend");
    tell("suspend_data", passed.join(" ").slice(0, ROOM));
    call("LMSCommit", "");
  }

  function look() {
    var now = results(), before = found;
    if (!now) return;
    found = now;
    if (!before) return;
    var fresh = lessons.filter(function (id, at) {
      return now[at] !== before[at] && passed.indexOf(id) < 0 && (JSON.parse(now[at]) || {}).passed === true;
    });
    passed = passed.concat(fresh);
    if (fresh.length) report();
  }

  function leave() {
    if (over) return;
    over = true;
    look();
    call("LMSFinish", "");
  }

  passed = ask("suspend_data").split(" ").filter(function (id) { return lessons.indexOf(id) >= 0; });
  if (ask("core.lesson_status") !== "passed") report();
  frame.addEventListener("load", look);
  look();
  window.setInterval(look, 1000);
  window.addEventListener("pagehide", leave);
  window.addEventListener("beforeunload", leave);
})();
