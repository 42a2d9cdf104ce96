/* The test behind the stop map: one control open at a time, four questions each, every answer kept at once. */
(function () {
  "use strict";
  var stops = window.OnionskinStops;

  function begin(form) {
    var id = form.dataset.stopTest, list = form.querySelector("[data-controls]");

    function controls() { return Array.from(list.children).filter(function (control) { return !control.hidden; }); }

    function groups(control) { return Array.from(control.querySelectorAll("[data-effect]")); }

    function isOpen(group) {
      var chosen = group.querySelector(":checked");
      return chosen === null || chosen.value === "unknown";
    }

    function state(control) {
      var left = groups(control).filter(isOpen).length;
      control.querySelector("[data-state-words]").textContent = left ? left + " to see" : "seen";
      return left === 0;
    }

    function count() {
      var all = controls(), seen = all.filter(state).length;
      form.querySelector("[data-done]").textContent = seen + " of " + all.length + " controls seen in this test";
    }

    function keep(control, seen) {
      var kept = stops.read(id), name = control.dataset.control;
      kept.controls[name] = Object.assign(kept.controls[name] || {}, seen);
      stops.write(id, kept);
      count();
    }

    function answer(control, input) {
      var seen = {};
      seen[input.closest("[data-effect]").dataset.effect] = { answer: input.value, day: stops.today() };
      keep(control, seen);
    }

    function next(control) {
      var all = controls(), following = all[all.indexOf(control) + 1];
      control.open = false;
      if (!following) return;
      following.open = true;
      following.querySelector("summary").focus();
    }

    function leaveOut(control) {
      var kept = stops.read(id);
      delete kept.controls[control.dataset.control];
      kept.absent.push(control.dataset.control);
      stops.write(id, kept);
      next(control);
      control.hidden = true;
      count();
    }

    function ready(control) {
      var place = Array.from(list.children).indexOf(control);
      groups(control).forEach(function (group) {
        group.querySelectorAll("input").forEach(function (input) {
          input.name = [id, place, group.dataset.effect].join("-");
          /* An old answer given once more is no change, yet it was seen today. */
          input.addEventListener("click", function () { answer(control, input); });
        });
      });
      control.querySelector("[data-next]").addEventListener("click", function () { next(control); });
      control.querySelector("[data-absent]").addEventListener("click", function () { leaveOut(control); });
    }

    function show(control, kept) {
      var answers = kept.controls[control.dataset.control] || {};
      control.hidden = kept.absent.indexOf(control.dataset.control) >= 0;
      groups(control).forEach(function (group) {
        group.querySelectorAll("input").forEach(function (input) { input.checked = (answers[group.dataset.effect] || {}).answer === input.value; });
      });
    }

    function add(name) {
      var control = list.lastElementChild.cloneNode(true);
      control.dataset.control = name;
      control.dataset.added = "";
      control.querySelector("summary").firstChild.textContent = name + " ";
      list.append(control);
      ready(control);
      return control;
    }

    function known(name) {
      return Array.from(list.children).some(function (control) { return control.dataset.control === name; });
    }

    function restore() {
      var kept = stops.read(id);
      list.querySelectorAll("[data-added]").forEach(function (control) { control.remove(); });
      Object.keys(kept.controls).filter(function (name) { return !known(name); }).forEach(function (name) { add(name); });
      Array.from(list.children).forEach(function (control) { show(control, kept); });
      count();
    }

    function more() {
      var field = form.querySelector("[data-more]"), name = field.value.trim();
      if (!name || known(name)) return;
      var control = add(name);
      show(control, { controls: {}, absent: [] });
      field.value = "";
      keep(control, {});
      control.open = true;
      control.querySelector("summary").focus();
    }

    function forget() {
      if (!window.confirm("Forget everything you saw on this machine?")) return;
      stops.forget(id);
      restore();
    }

    Array.from(list.children).forEach(ready);
    form.querySelector("[data-add]").addEventListener("click", more);
    form.querySelector("[data-forget]").addEventListener("click", forget);
    form.addEventListener("submit", function (event) {
      event.preventDefault();
      more();
    });
    form.hidden = false;
    restore();
  }

  document.querySelectorAll("[data-stop-test]").forEach(begin);
})();
