/* The test behind the stop map: one control open at a time, four questions each, every answer kept at once. */
(function () {
  "use strict";
  var stops = window.OnionskinStops;

  function begin(form) {
    var id = form.dataset.stopTest, list = form.querySelector("[data-controls]");

    function controls() { return Array.from(list.children).filter(function (control) { return !control.hidden; }); }

    function groups(control) { return Array.from(control.querySelectorAll("[data-effect]")); }

    function answersOf(control) {
      var answers = {};
      groups(control).forEach(function (group) {
        var chosen = group.querySelector(":checked");
        if (chosen) answers[group.dataset.effect] = chosen.value;
      });
      return answers;
    }

    function state(control) {
      var answers = answersOf(control);
      var left = groups(control).filter(function (group) { return (answers[group.dataset.effect] || "unknown") === "unknown"; }).length;
      control.querySelector("[data-state-words]").textContent = left ? left + " to see" : "seen";
      return left === 0;
    }

    function count() {
      var all = controls(), seen = all.filter(state).length;
      form.querySelector("[data-done]").textContent = seen + " of " + all.length + " controls seen in this test";
    }

    function keep(control) {
      var kept = stops.read(id);
      kept.controls[control.dataset.control] = answersOf(control);
      stops.write(id, kept);
      count();
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
        group.querySelectorAll("input").forEach(function (input) { input.name = [id, place, group.dataset.effect].join("-"); });
      });
      control.querySelector("[data-next]").addEventListener("click", function () { next(control); });
      control.querySelector("[data-absent]").addEventListener("click", function () { leaveOut(control); });
      control.addEventListener("change", function () { keep(control); });
    }

    function show(control, kept) {
      var answers = kept.controls[control.dataset.control] || {};
      control.hidden = kept.absent.indexOf(control.dataset.control) >= 0;
      groups(control).forEach(function (group) {
        group.querySelectorAll("input").forEach(function (input) { input.checked = answers[group.dataset.effect] === input.value; });
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
      keep(control);
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
