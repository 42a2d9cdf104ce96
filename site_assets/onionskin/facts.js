/* What a fact of a machine may be: the same limits for the form, a file read in and the browser's store. */
(function () {
  "use strict";
  var course = window.ONIONSKIN;
  if (!course) return;
  var X = window.OnionskinX;

  function unitOf(fact) { return fact.unit || "1"; }

  function rangeFault(fact, value) {
    if (typeof value !== "number" || !isFinite(value)) return "is not a number";
    if (typeof fact.min === "number" && value < fact.min) return "is less than " + X.show(fact.min, unitOf(fact));
    if (typeof fact.max === "number" && value > fact.max) return "is more than " + X.show(fact.max, unitOf(fact));
    return null;
  }

  function choiceFault(fact, value) {
    if (typeof value !== "string" || value.length > 500) return "is not a text of at most 500 letters";
    if (!fact.choices || fact.choices.indexOf(value) >= 0) return null;
    return "is not one of: " + fact.choices.join(", ");
  }

  function listFault(fact, value, itemFault) {
    if (!Array.isArray(value)) return "is not a list";
    if (value.length > 50) return "has more than 50 entries";
    return value.map(function (item) { return itemFault(fact, item); }).find(Boolean) || null;
  }

  var faults = {
    number: rangeFault,
    text: choiceFault,
    bool: function (fact, value) { return typeof value === "boolean" ? null : "is neither yes nor no"; },
    numbers: function (fact, value) { return listFault(fact, value, rangeFault); },
    texts: function (fact, value) { return listFault(fact, value, choiceFault); }
  };

  /* Why `value` cannot be the fact `name`, in words; null where it can. Unknown (null) is always allowed. */
  function faultOf(name, value) {
    if (!Object.prototype.hasOwnProperty.call(course.facts, name)) return "is not a field of a machine";
    return value === null ? null : faults[course.facts[name].kind](course.facts[name], value);
  }

  function same(a, b) { return JSON.stringify(a) === JSON.stringify(b); }

  window.OnionskinFacts = { faultOf: faultOf, same: same };
})();
