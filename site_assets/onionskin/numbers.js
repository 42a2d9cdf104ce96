/* Numbers and lists as people write them into the form "My machine". What can be read as two numbers is refused,
   as the command line refuses it; between the entries of a list stands a semicolon and nothing else. */
(function () {
  "use strict";
  var course = window.ONIONSKIN;
  if (!course) return;
  var PLAIN = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i, GROUPED = /(\d)\u202f(?=\d{3})/g;

  function has(kind, text) { return new RegExp(course.misread[kind]).test(text); }

  /* The ways `text` may have been meant, as generator/model/quantity.py says them. */
  function withoutComma(text) {
    var whole = "'" + text.replace(/,/g, "") + "' in one piece", after = text.slice(text.indexOf(",") + 1);
    if (/[,.]/.test(after)) return whole;
    var point = "'" + text.replace(/\./g, "").replace(",", ".") + "' with a point";
    return has("thousands", text) ? point + " or " + whole + ", whichever you mean" : point;
  }

  function withoutSpace(text, listed) {
    var several = listed ? "'" + text.replace(/\s+/g, "; ") + "' for several, or " : "";
    return several + "'" + text.replace(/\s+/g, "") + "' in one piece";
  }

  function misread(text, listed) {
    if (has("comma", text)) return "has a comma; write " + withoutComma(text);
    if (has("space", text)) return "has a space inside the number; write " + withoutSpace(text, listed);
    if (listed && text.indexOf(",") >= 0) return "has a comma; write '" + text.replace(/\s*,\s*/g, "; ") + "'";
    return PLAIN.test(text) ? null : "is not a number; write plain figures, without the unit";
  }

  /* The number of one entry, null for none. Throws an Error that says how to mend it. */
  function number(text, listed) {
    var plain = text.trim().replace(GROUPED, "$1");
    var fault = plain && misread(plain, listed);
    if (fault) throw new Error("'" + plain + "' " + fault);
    return plain === "" ? null : Number(plain);
  }

  function entry(text) {
    if (text.indexOf(",") < 0) return text;
    throw new Error("'" + text + "' has a comma; write '" + text.replace(/\s*,\s*/g, "; ") + "', or end it with a semicolon if it is one");
  }

  function parts(text) {
    return text.split(";").map(function (part) { return part.trim(); }).filter(Boolean);
  }

  /* The entries of a list, null for none said. Throws an Error that says how to mend it. */
  function list(text, isNumbers) {
    if (text.trim() === "") return null;
    if (text.trim() === "none") return [];
    if (isNumbers) return parts(text).map(function (part) { return number(part, true); });
    return text.indexOf(";") < 0 ? [entry(text.trim())] : parts(text);
  }

  function written(values) {
    var one = values.length === 1 && String(values[0]).indexOf(",") >= 0;
    return values.length ? values.join("; ") + (one ? ";" : "") : "none";
  }

  window.OnionskinNumbers = { number: number, list: list, written: written };
})();
