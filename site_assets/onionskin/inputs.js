/* The fields of a calculator: their start for a machine, and the values entered. What a field may hold
   follows the same rules as generator/model/content.py; its words for a bad value are in data-range-words. */
(function () {
  "use strict";

  function found(value) { return value !== null && value !== undefined && !Number.isNaN(value); }
  function field(root, name) { return root.querySelector('[name="' + name + '"]'); }

  function allowed(input, value) {
    if (!found(value)) return value === null && !found(input.fallback);
    if (input.kind === "text") return input.choices.indexOf(value) >= 0;
    if (input.kind === "number") return typeof value === "number" && value >= input.min && value <= input.max;
    return Array.isArray(value) && !value.some(Number.isNaN);
  }

  function given(input, facts) {
    var value = input.start ? input.start(facts) : null;
    return found(value) && allowed(input, value) ? value : null;
  }

  /* The input's first value for these facts: what the machine says, else the careful value in its place. */
  function start(input, facts) {
    var value = given(input, facts);
    return value !== null ? value : found(input.fallback) ? input.fallback : null;
  }

  function number(text) { return Number(text.trim().replace(",", ".")); }

  function list(text, kind) {
    var parts = text.split(/[;,]\s*/).map(function (part) { return part.trim(); }).filter(Boolean);
    return kind === "numbers" ? parts.map(number) : parts;
  }

  function entered(input, control) {
    if (input.kind === "text") return control.value;
    if (control.validity.badInput) return NaN;
    if (control.value.trim() === "") return null;
    return input.kind === "number" ? number(control.value) : list(control.value, input.kind);
  }

  function report(root, input, control, fine) {
    var error = root.querySelector('[data-error="' + input.name + '"]');
    control.setAttribute("aria-invalid", fine ? "false" : "true");
    if (!error) return;
    error.textContent = fine ? "" : control.dataset.rangeWords;
    error.hidden = fine;
  }

  /* Names -> values of all inputs, or null where one field has no usable value. */
  function read(inputs, root, facts) {
    var scope = {}, complete = true;
    inputs.forEach(function (input) {
      var control = field(root, input.name);
      var value = control ? entered(input, control) : start(input, facts);
      var fine = allowed(input, value);
      if (control) report(root, input, control, fine);
      complete = complete && fine;
      scope[input.name] = value;
    });
    return complete ? scope : null;
  }

  function written(value) {
    if (Array.isArray(value)) return value.map(written).join(", ");
    if (!found(value)) return "";
    return typeof value === "number" ? String(Number(value.toPrecision(9))) : String(value);
  }

  /* A field edited by hand is no longer assumed. */
  function assumed(root, name, is) {
    var note = root.querySelector('[data-assumed="' + name + '"]');
    if (note) note.hidden = !is;
  }

  function fill(inputs, root, facts) {
    inputs.forEach(function (input) {
      var control = field(root, input.name);
      if (!control) return;
      control.value = written(start(input, facts));
      assumed(root, input.name, given(input, facts) === null);
    });
  }

  window.OnionskinInputs = { read: read, fill: fill, found: found, assumed: assumed };
})();
