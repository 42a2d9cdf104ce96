/* Blocks, values and figures of the page follow the machine. A block whose rule has no answer is shown
   with its lead-in "If ...:", in both senses, so that an unknown machine reads more, never less. */
(function () {
  "use strict";
  var course = window.ONIONSKIN;
  if (!course) return;
  var X = window.OnionskinX;

  function condition(block, id, facts, wanted) {
    var rule = course.rules[id];
    var answer = rule ? rule.when(facts) : null;
    var unknown = answer !== true && answer !== false;
    block.dataset.state = unknown ? "unknown" : answer ? "yes" : "no";
    block.hidden = answer === !wanted;
    block.querySelectorAll(".os-if").forEach(function (lead) {
      if (lead.closest("[data-when], [data-unless]") === block) lead.hidden = !unknown;
    });
  }

  function value(element, facts) {
    var spec = course.values[element.dataset.value];
    if (!spec) return;
    var answer = spec.value(facts);
    element.textContent = X.say(answer, spec.unit, spec.digits);
    element.classList.toggle("os-unknown", answer === null || answer === undefined);
  }

  function figure(element, facts) {
    if (!element.closest("[data-calculator], [data-figure-of]")) window.OnionskinRedraw(element, element.dataset.figure, facts);
  }

  function each(selector, run) { document.querySelectorAll(selector).forEach(run); }

  window.OnionskinMachine.watch(function (machine) {
    var facts = machine.facts;
    each("[data-when]", function (block) { condition(block, block.dataset.when, facts, true); });
    each("[data-unless]", function (block) { condition(block, block.dataset.unless, facts, false); });
    each("[data-value]", function (element) { value(element, facts); });
    each("[data-figure]", function (element) { figure(element, facts); });
    each("[data-machine-name]", function (element) { element.textContent = machine.name; });
  });
})();
