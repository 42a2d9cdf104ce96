/* What a fact of a machine may be: the same limits for the form, a file read in and the browser's store.
   The limits come from the models of the course; only how to hold a value to them stands here. */
(function () {
  "use strict";
  var course = window.ONIONSKIN;
  if (!course) return;
  var X = window.OnionskinX;

  function unitOf(fact) { return fact.unit || "1"; }

  function rangeFault(fact, value) {
    if (typeof value !== "number" || !isFinite(value)) return "is not a number";
    if (fact.whole && value !== Math.floor(value)) return "is not a whole number";
    if (typeof fact.min === "number" && value < fact.min) return "is less than " + X.show(fact.min, unitOf(fact));
    if (typeof fact.max === "number" && value > fact.max) return "is more than " + X.show(fact.max, unitOf(fact));
    return null;
  }

  /* A day no calendar has becomes another day when it is read as a date. */
  function isDate(text) {
    var day = /^\d{4}-\d\d-\d\d$/.test(text) && text >= "0001" ? new Date(text + "T00:00:00Z") : NaN;
    return !isNaN(day) && day.toISOString().slice(0, 10) === text;
  }

  function dateFault(fact, value) {
    if (isDate(value) || (value === "never" && fact.dated === "date-or-never")) return null;
    return "is '" + value + "', " + course.dates[fact.dated];
  }

  function textFault(fact, value) {
    if (typeof value !== "string") return "is not a text";
    if (fact.choices) return fact.choices.indexOf(value) >= 0 ? null : "is '" + value + "', not one of: " + fact.choices.join(", ");
    if (fact.dated) return dateFault(fact, value);
    if (value.trim() === "") return "is empty";
    return value.length > fact.longest ? "is longer than " + fact.longest + " characters" : null;
  }

  function listFault(fact, value, itemFault) {
    if (!Array.isArray(value)) return "is not a list";
    if (value.length > 50) return "has more than 50 entries";
    return value.map(function (item) { return itemFault(fact, item); }).find(Boolean) || null;
  }

  var faults = {
    number: rangeFault,
    text: textFault,
    bool: function (fact, value) { return typeof value === "boolean" ? null : "is neither yes nor no"; },
    numbers: function (fact, value) { return listFault(fact, value, rangeFault); },
    texts: function (fact, value) { return listFault(fact, value, textFault); }
  };

  function unknown(value) { return value === null || value === undefined; }

  /* Why `value` cannot be the fact `name`, in words; null where it can. Unknown is always allowed. */
  function faultOf(name, value) {
    if (!Object.prototype.hasOwnProperty.call(course.facts, name) || !course.facts[name].asked) return "is not a field of a machine";
    return unknown(value) ? null : faults[course.facts[name].kind](course.facts[name], value);
  }

  var broken = {
    "same-count": function (values) { return values[0].length !== values[1].length; },
    "not-above": function (values) { return values[0] > values[1]; },
    rising: function (values) { return values[0].some(function (value, at, list) { return at > 0 && value <= list[at - 1]; }); }
  };

  function label(name) { return course.facts[name].label; }

  function saidOf(rule, values) {
    var words = { first: label(rule.names[0]), second: label(rule.names[rule.names.length - 1]), count: values[0].length, other: (values[1] || []).length };
    var says = rule.says.replace(/\{(\w+)\}/g, function (_, word) { return words[word]; });
    return says.charAt(0).toUpperCase() + says.slice(1) + ".";
  }

  function togetherFault(rule, facts) {
    var values = rule.names.map(function (name) { return facts[name]; });
    if (values.some(unknown) || !broken[rule.kind](values)) return null;
    return { names: rule.names, says: saidOf(rule, values) };
  }

  /* The known of `facts` that are no fault by themselves. */
  function fine(facts) {
    return Object.keys(facts).reduce(function (kept, name) {
      if (!unknown(facts[name]) && faultOf(name, facts[name]) === null) kept[name] = facts[name];
      return kept;
    }, {});
  }

  /* Values that cannot stand together, each as { names, says }. */
  function together(facts) {
    var known = fine(facts);
    return course.together.map(function (rule) { return togetherFault(rule, known); }).filter(Boolean);
  }

  /* The known of `facts` that may be followed: what has a fault counts as unknown. */
  function sound(facts) {
    var kept = fine(facts);
    together(facts).forEach(function (fault) { fault.names.forEach(function (name) { delete kept[name]; }); });
    return kept;
  }

  window.OnionskinFacts = { faultOf: faultOf, together: together, sound: sound };
})();
