/* The fields of the page "My machine": their text and the facts they stand for. An empty field is unknown. */
(function () {
  "use strict";
  var course = window.ONIONSKIN, limits = window.OnionskinFacts;
  if (!course) return;

  function number(text) {
    var plain = text.replace(/[\s\u202f\u00a0]/g, "").replace(",", ".");
    return plain === "" ? null : Number(plain);
  }

  function parts(text) {
    return text.split(/[;,]/).map(function (part) { return part.trim(); }).filter(Boolean);
  }

  function listed(text, read) {
    if (text.trim() === "") return null;
    return text.trim() === "none" ? [] : parts(text).map(read);
  }

  function ticked(controls) {
    var values = controls.filter(function (box) { return box.checked; }).map(function (box) { return box.value; });
    return values.length ? values : null;
  }

  var readers = {
    number: function (text) { return number(text); },
    text: function (text) { return text.trim() || null; },
    bool: function (text) { return text === "" ? null : text === "yes"; },
    numbers: function (text) { return listed(text, number); },
    texts: function (text) { return listed(text, String); }
  };

  function worded(value) {
    if (value === null || value === undefined) return "";
    if (typeof value === "boolean") return value ? "yes" : "no";
    if (Array.isArray(value)) return value.length ? value.join("; ") : "none";
    return String(value);
  }

  window.OnionskinFields = function (form) {
    var names = Object.keys(course.facts).filter(function (name) { return controls(name).length > 0; });

    function controls(name) { return Array.from(form.querySelectorAll('[name="' + name + '"]')); }

    function read() {
      var facts = {}, faults = [];
      names.forEach(function (name) {
        var boxes = controls(name), fact = course.facts[name], control = boxes[0];
        var value = control.type === "checkbox" ? ticked(boxes) : readers[fact.kind](control.value);
        var broken = control.validity.badInput ? "is not a number" : limits.faultOf(name, value);
        var error = form.querySelector('[data-error="' + name + '"]');
        error.textContent = broken ? fact.label + " " + broken + "." : "";
        error.hidden = !broken;
        control.setAttribute("aria-invalid", broken ? "true" : "false");
        if (broken) faults.push(fact.label + " " + broken + ".");
        facts[name] = value;
      });
      return { facts: facts, faults: faults };
    }

    function write(facts) {
      names.forEach(function (name) {
        var boxes = controls(name);
        boxes.forEach(function (control) {
          if (control.type === "checkbox") control.checked = (facts[name] || []).indexOf(control.value) >= 0;
          else control.value = worded(facts[name]);
        });
      });
    }

    return { names: names, read: read, write: write };
  };
})();
