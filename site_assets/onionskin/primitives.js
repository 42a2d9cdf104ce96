/* What the two languages do differently, said once for the browser; generator/expr/functions.py
   and generator/units.py say the same for Python, and a test holds them equal.
   A number without an answer is NaN inside and null outside; an unknown value is null. */
(function () {
  "use strict";
  var SLACK = 1e-9;
  var units = {};  // tag -> {label, decimals}; course.js fills it

  function missing(v) { return v === null || v === undefined || (typeof v === "number" && isNaN(v)); }
  function n(v) { return missing(v) ? NaN : v; }
  function out(v) { return v === undefined || (typeof v === "number" && !isFinite(v)) ? null : v; }
  function answer(v) { return isFinite(v) ? v : NaN; }
  function comparison(test) {
    return function (a, b) { return missing(a) || missing(b) ? null : test(a, b); };
  }
  function logic(ruling) {
    return function (truths) {
      if (truths.indexOf(ruling) >= 0) return ruling;
      return truths.some(missing) ? null : !ruling;
    };
  }
  function divide(a, b) { return b !== 0 ? a / b : NaN; }
  function power(a, b) { return isFinite(a) && isFinite(b) ? answer(Math.pow(a, b)) : NaN; }
  function real(run) { return function (v) { return isFinite(v) ? answer(run(v)) : NaN; }; }
  function extreme(run) {
    return function () {
      var values = Array.prototype.slice.call(arguments);
      return values.some(isNaN) ? NaN : run.apply(null, values);
    };
  }
  function ceiling(v) { return isFinite(v) ? Math.ceil(v - SLACK) + 0 : NaN; }
  function roundTo(v, decimals) {
    if (!isFinite(v) || !(decimals >= 0 && decimals <= 9)) return NaN;
    var scale = Math.pow(10, Math.trunc(decimals));
    if (!isFinite(Math.abs(v) * scale)) return NaN;
    var size = Math.floor(Math.abs(v) * scale + 0.5) / scale;
    return v < 0 && size ? -size : size;
  }
  function chosen(list, fits, run) {
    var fitting = (list || []).filter(fits);
    return fitting.length ? run.apply(null, fitting) : NaN;
  }
  function match(keys, wanted, values) {
    var at = (keys || []).indexOf(wanted);
    return at >= 0 && values && at < values.length ? values[at] : null;
  }

  var fn = {
    min: extreme(Math.min), max: extreme(Math.max), abs: Math.abs, sqrt: real(Math.sqrt),
    sin: real(Math.sin), cos: real(Math.cos), tan: real(Math.tan), atan: real(Math.atan),
    acos: function (v) { return v === -1 ? Math.PI : 2 * Math.atan(real(Math.sqrt)(divide(1 - v, 1 + v))); },
    exp: real(Math.exp), log: real(Math.log), log10: real(Math.log10),
    radians: function (v) { return v * Math.PI / 180; },
    floor: function (v) { return isFinite(v) ? Math.floor(v + SLACK) + 0 : NaN; },
    ceil: ceiling,
    passes: function (depth, step) { return step > 0 && depth >= 0 ? ceiling(depth / step) : NaN; },
    round_to: roundTo,
    known: function (v) { return !missing(v); },
    length: function (list) { return list ? list.length : NaN; },
    first: function (list) { return list && list.length ? list[0] : null; },
    least: function (list) { return list && list.length ? Math.min.apply(null, list) : NaN; },
    greatest: function (list) { return list && list.length ? Math.max.apply(null, list) : NaN; },
    largest_at_most: function (list, x) { return chosen(list, function (v) { return v <= x; }, Math.max); },
    smallest_at_least: function (list, x) { return chosen(list, function (v) { return v >= x; }, Math.min); },
    match: match,
    joined: function (list) { return list ? list.map(plain).join(", ") : null; }
  };

  function plain(text) { return String(text).split("-").join(" "); }

  function fixed(v, decimals) {
    if (!isFinite(v)) return "no answer";
    var size = Math.abs(v) * Math.pow(10, decimals);
    if (size >= 9007199254740992) return BigInt(Math.trunc(v)).toString();
    var scaled = Math.floor(size + 0.5);
    var digits = String(scaled);
    while (digits.length < decimals + 1) digits = "0" + digits;
    var text = decimals ? digits.slice(0, -decimals) + "." + digits.slice(-decimals) : digits;
    return v < 0 && scaled ? "-" + text : text;
  }

  function places(v, digits) {
    var left = digits - 1, size = Math.abs(v);
    while (size >= 10) { size = size / 10; left -= 1; }
    while (size > 0 && size < 1 && left < 9) { size = size * 10; left += 1; }
    return left;
  }

  function significant(v, digits) {
    var left = places(v, digits);
    if (left >= 0) return fixed(v, left);
    var step = Math.pow(10, -left), size = Math.floor(Math.abs(v) / step + 0.5) * step;
    return fixed(v < 0 ? -size : size, 0);
  }

  function showNumber(v, tag, digits) {
    if (!isFinite(v)) return "no answer";
    var text = digits ? significant(v, digits) : fixed(v, units[tag].decimals);
    if (text.indexOf(".") >= 0) text = text.replace(/0+$/, "").replace(/\.$/, "");
    var parts = text.split(".");
    if (parts[0].replace("-", "").length > 4) parts[0] = parts[0].replace(/(\d)(?=(\d{3})+$)/g, "$1\u202f");
    return parts.join(".");
  }

  function show(v, tag, digits) {
    if (missing(v)) return "no answer";
    var label = units[tag].label, text = showNumber(v, tag, digits);
    if (!label || !isFinite(v)) return text;
    return text + (label === "%" || label === "°" ? "" : "\u00a0") + label;
  }

  /* A value as words in running text. */
  function say(v, tag, digits) {
    if (missing(v)) return "not known yet";
    if (typeof v === "boolean") return v ? "yes" : "no";
    if (typeof v === "string") return tag === "name" ? v : plain(v);
    if (Array.isArray(v)) return v.map(function (item) { return say(item, tag, digits); }).join(", ") || "none";
    return show(v, tag || "1", digits);
  }

  /* A value in a worked line: numbers with four figures, everything else in words. */
  function inSum(v, tag) { return typeof v === "number" ? show(v, tag, 4) : say(v, null, null); }
  function line(sum, answer) { return sum === answer ? answer : sum + " = " + answer; }
  function result(v, tag, digits) { return missing(v) ? "no answer" : say(v, tag, digits); }

  window.OnionskinX = {
    units: units, inSum: inSum, line: line, result: result, n: n, out: out, divide: divide, power: power, fn: fn,
    lt: comparison(function (a, b) { return a < b; }), le: comparison(function (a, b) { return a <= b; }),
    gt: comparison(function (a, b) { return a > b; }), ge: comparison(function (a, b) { return a >= b; }),
    eq: comparison(function (a, b) { return a === b; }), ne: comparison(function (a, b) { return a !== b; }),
    within: comparison(function (a, b) { return b.indexOf(a) >= 0; }),
    not: function (v) { return missing(v) ? null : !v; },
    and: logic(false), or: logic(true),
    pick: function (test, then, other) { return missing(test) ? null : test ? then : other; },
    fixed: fixed, showNumber: showNumber, show: show, say: say
  };
})();
