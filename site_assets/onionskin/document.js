/* A machine as a file: the same document that a workshop's folder machines/ holds. Quantities are texts
   with a unit, what nobody knows is left out or the text "unknown". A field's place in the document is its fact's name. */
(function () {
  "use strict";
  var course = window.ONIONSKIN, limits = window.OnionskinFacts;
  if (!course) return;
  var NUMBER = /^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$/;

  function pathOf(name) { return name.replace(/^machine\./, "").split("."); }

  function put(doc, path, value) {
    var last = path.slice(0, -1).reduce(function (part, key) {
      if (typeof part[key] !== "object" || part[key] === null) part[key] = {};
      return part[key];
    }, doc);
    last[path[path.length - 1]] = value;
  }

  function get(doc, path) {
    return path.reduce(function (part, key) {
      return part && typeof part === "object" && Object.prototype.hasOwnProperty.call(part, key) ? part[key] : undefined;
    }, doc);
  }

  function isQuantity(fact) { return fact.kind === "number" || fact.kind === "numbers"; }

  function written(fact, value) {
    if (Array.isArray(value)) return value.map(function (item) { return written(fact, item); });
    if (isQuantity(fact) && fact.unit && fact.unit !== "1") return value + " " + fact.unit;
    return value;
  }

  function slug(name) {
    return name.toLowerCase().replace(/[^a-z0-9]+/g, "-").slice(0, 60).replace(/^-+|-+$/g, "") || "my-machine";
  }

  /* The document of a machine of which `facts` are known; what is unknown is left out. */
  function write(facts) {
    var doc = { id: slug(facts["machine.name"]) };
    Object.keys(facts).forEach(function (name) {
      if (facts[name] !== null) put(doc, pathOf(name), written(course.facts[name], facts[name]));
    });
    return doc;
  }

  function quantity(fact, raw, faults, place) {
    var match = NUMBER.exec(String(raw)), wanted = fact.unit === "1" ? "" : fact.unit || "";
    if (match && match[2] === wanted) return Number(match[1]);
    faults.push(place + ": '" + raw + "' is not a number in " + (wanted || "plain figures") + "; write it as '6" + (wanted && " " + wanted) + "'");
    return null;
  }

  function taken(fact, raw, faults, place) {
    if (raw === undefined || raw === "unknown") return null;
    if (Array.isArray(raw)) return raw.map(function (item) { return taken(fact, item, faults, place); });
    return isQuantity(fact) ? quantity(fact, raw, faults, place) : raw;
  }

  function parsed(text, faults) {
    try {
      var doc = JSON.parse(text);
      if (doc && typeof doc === "object" && !Array.isArray(doc)) return doc;
      faults.push("The file holds no machine: its text is not one JSON mapping.");
    } catch (error) {
      faults.push("The file is not JSON: " + error.message);
    }
    return null;
  }

  function isField(path) { return path in course.facts || "machine." + path in course.facts; }

  /* Faults of names in the document that no machine has. */
  function strangers(doc) {
    var groups = Object.keys(course.facts).map(function (name) { return name.split(".")[0]; });
    return Object.keys(doc).reduce(function (found, key) {
      if (isField(key)) return found;
      if (groups.indexOf(key) < 0) return found.concat(key);
      if (typeof doc[key] !== "object" || Array.isArray(doc[key])) return found;
      return found.concat(Object.keys(doc[key] || {}).map(function (inner) { return key + "." + inner; }).filter(function (path) {
        return !isField(path);
      }));
    }, []).map(function (path) { return path + ": a machine has no such field"; });
  }

  /* What the document says and the form has no field for. */
  function unasked(doc) {
    return ["stop.controls", "tooling", "local_rules"].filter(function (path) { return get(doc, path.split(".")) !== undefined; });
  }

  /* { facts, faults, left } of the fields `names` from the text of a file: all faults at once, and what is left out. */
  function read(text, names) {
    var faults = [], facts = {}, doc = parsed(text, faults);
    if (!doc) return { facts: facts, faults: faults, left: [] };
    names.forEach(function (name) {
      var place = pathOf(name).join("."), before = faults.length;
      facts[name] = taken(course.facts[name], get(doc, pathOf(name)), faults, place);
      var broken = faults.length === before && limits.faultOf(name, facts[name]);
      if (broken) faults.push(place + ": " + JSON.stringify(get(doc, pathOf(name))) + " " + broken);
    });
    var together = limits.together(facts).map(function (fault) { return fault.says; });
    return { facts: facts, faults: faults.concat(together, strangers(doc)), left: unasked(doc) };
  }

  window.OnionskinDocument = { read: read, write: write };
})();
