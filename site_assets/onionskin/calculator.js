/* A calculator follows its fields and the machine. Worked steps and the figure of a calculator in a
   lesson ([data-worked-example], [data-figure-of]) have no fields and follow the machine alone. */
(function () {
  "use strict";
  var course = window.ONIONSKIN, inputs = window.OnionskinInputs;
  if (!course) return;
  var X = window.OnionskinX;

  function each(root, selector, run) { root.querySelectorAll(selector).forEach(run); }

  function scopeOf(spec, root, facts) {
    var entered = inputs.read(spec.inputs, root, facts);
    var scope = entered && Object.assign({}, facts, spec.constants, entered);
    if (scope) spec.outputs.forEach(function (output) { scope[output.name] = output.value(scope); });
    return scope;
  }

  function bandText(output, scope) {
    var low = scope && output.low ? output.low(scope) : null;
    var high = scope && output.high ? output.high(scope) : null;
    if (!inputs.found(low) || !inputs.found(high)) return "";
    return X.say(low, output.unit, output.digits) + " to " + X.say(high, output.unit, output.digits);
  }

  function outputText(output, scope) {
    return scope ? X.result(scope[output.name], output.unit, output.digits) : "–";
  }

  function showOutputs(spec, root, scope) {
    spec.outputs.forEach(function (output) {
      each(root, '[data-output="' + output.name + '"]', function (place) { place.textContent = outputText(output, scope); });
      each(root, '[data-band="' + output.name + '"]', function (place) { place.textContent = bandText(output, scope); });
    });
  }

  /* `scope` is null where the fields are not all good or the estimate does not cover them. */
  function showWords(spec, root, scope) {
    each(root, "[data-advice]", function (place) {
      var advice = spec.advice[Number(place.dataset.advice)];
      place.hidden = !scope || advice.when(scope) !== true;
      if (!place.hidden) place.querySelector("[data-advice-text]").textContent = advice.says(scope);
    });
    each(root, "[data-worked]", function (place) {
      place.textContent = scope ? spec.worked[Number(place.dataset.worked)](scope) : "–";
    });
  }

  /* Without an answer there is nothing to draw: an old drawing would still say its numbers. */
  function showFigure(spec, place, scope) {
    if (place.closest("svg")) return;
    place.hidden = !scope;
    if (scope) window.OnionskinRedraw(place, spec.figure, scope);
    else place.textContent = "";
  }

  function refresh(spec, root, facts) {
    var scope = scopeOf(spec, root, facts);
    var covered = scope && (!spec.covers || spec.covers(scope) === true) ? scope : null;
    each(root, "[data-outside]", function (place) { place.hidden = !scope || covered !== null; });
    showOutputs(spec, root, covered);
    showWords(spec, root, covered);
    root.classList.toggle("os-no-answer", !scope);
    if (scope) each(root, "[data-figure]", function (place) { showFigure(spec, place, covered); });
  }

  function begin(root) {
    var spec = course.calculators[root.dataset.calculator || root.dataset.workedExample || root.dataset.figureOf], facts;
    if (!spec) return;

    function again() {
      inputs.fill(spec.inputs, root, facts);
      refresh(spec, root, facts);
    }

    window.OnionskinMachine.watch(function (machine) {
      facts = machine.facts;
      again();
    });
    root.addEventListener("input", function (event) {
      inputs.assumed(root, event.target.name, false);
      refresh(spec, root, facts);
    });
    root.addEventListener("submit", function (event) { event.preventDefault(); });
    root.addEventListener("reset", function (event) {
      event.preventDefault();
      again();
    });
  }

  document.querySelectorAll("[data-calculator], [data-worked-example], [data-figure-of]").forEach(begin);
})();
