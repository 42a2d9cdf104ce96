/* Stop maps: what was seen in a test on this device is laid over what the profile says, on every page that
   shows the grid. Kept as { controls: { name: { effect: { answer, day } } }, absent: [names] }: each answer has the day
   it was seen. A test of the profile that is younger wins; an untested square stays unknown. */
(function () {
  "use strict";
  var store = window.OnionskinStore;
  var EFFECTS = ["axes", "spindle", "extraction", "position"];
  var LEGAL = ["stops", "goes on", "kept", "lost", "unknown"];

  var DAY = /^\d{4}-\d\d-\d\d$/;

  function isRecord(value) { return typeof value === "object" && value !== null; }

  /* Before answers had days of their own, one `day` stood for all of them. */
  function dated(answer, day) { return day === undefined ? answer : { answer: answer, day: day }; }

  function legal(answers, day) {
    return isRecord(answers) && Object.keys(answers).every(function (effect) {
      var seen = dated(answers[effect], day);
      return EFFECTS.indexOf(effect) >= 0 && isRecord(seen) && LEGAL.indexOf(seen.answer) >= 0 && DAY.test(seen.day);
    });
  }

  function good(kept) {
    return isRecord(kept) && isRecord(kept.controls) && Array.isArray(kept.absent) &&
      Object.keys(kept.controls).every(function (name) { return name.length <= 60 && legal(kept.controls[name], kept.day); });
  }

  function today() {
    var now = new Date();
    return [now.getFullYear(), two(now.getMonth() + 1), two(now.getDate())].join("-");
  }

  function two(number) { return (number < 10 ? "0" : "") + number; }

  function read(id) {
    var kept = store.read("stops." + id, good) || { controls: {}, absent: [] };
    Object.values(kept.controls).forEach(function (answers) {
      Object.keys(answers).forEach(function (effect) { answers[effect] = dated(answers[effect], kept.day); });
    });
    return { controls: kept.controls, absent: kept.absent };
  }

  function write(id, kept) {
    store.write("stops." + id, kept);
    draw();
  }

  function forget(id) {
    store.remove("stops." + id);
    draw();
  }

  function addRow(block, name) {
    var row = block.querySelector("tbody tr").cloneNode(true);
    var empty = row.querySelector('[data-square="none here"]');
    row.dataset.control = name;
    row.dataset.tested = "";
    row.dataset.added = "";
    row.querySelector("th").textContent = name;
    row.querySelectorAll("[data-effect]").forEach(function (cell) {
      cell.dataset.profile = cell === empty ? "none here" : "unknown";
    });
    block.querySelector("tbody").append(row);
    return row;
  }

  function rowsOf(block, kept) {
    block.querySelectorAll("[data-added]").forEach(function (row) { row.remove(); });
    var rows = Array.from(block.querySelectorAll("[data-control]"));
    Object.keys(kept.controls).forEach(function (name) {
      if (!rows.some(function (row) { return row.dataset.control === name; })) rows.push(addRow(block, name));
    });
    return rows;
  }

  /* The profile's own answer is kept in data-profile when a test covers it. */
  function square(cell, answer) {
    if (!("profile" in cell.dataset)) cell.dataset.profile = cell.dataset.square;
    cell.dataset.square = cell.dataset.profile === "none here" ? "none here" : answer || cell.dataset.profile;
    cell.querySelector("[data-word]").textContent = cell.dataset.square;
  }

  /* A row is as old as its oldest square. */
  function fill(row, kept) {
    var answers = kept.controls[row.dataset.control] || {}, tested = row.dataset.tested, days = [];
    row.querySelectorAll("[data-effect]").forEach(function (cell) {
      var seen = answers[cell.dataset.effect], counts = seen && seen.day >= tested;
      square(cell, counts ? seen.answer : null);
      if (cell.dataset.square !== "none here") days.push(counts ? seen.day : tested);
    });
    row.querySelector("[data-tested-on]").textContent = days.sort()[0] || "never";
    row.hidden = kept.absent.indexOf(row.dataset.control) >= 0;
  }

  function verdict(block, rows) {
    var cells = rows.flatMap(function (row) { return Array.from(row.querySelectorAll("[data-effect]")); });
    var unknown = cells.filter(function (cell) { return cell.dataset.square === "unknown"; }).length;
    var never = Array.from(block.querySelectorAll("[data-never]")).filter(function (note) {
      var effect = note.dataset.never;
      var those = cells.filter(function (cell) { return cell.dataset.effect === effect && cell.dataset.square !== "none here"; });
      note.hidden = (effect === "extraction" && !those.length) || those.some(function (cell) { return cell.dataset.square === "stops"; });
      return !note.hidden;
    });
    var ready = unknown === 0 && never.length === 0 && rows.length > 0;
    block.querySelector("[data-unknown-words]").hidden = unknown === 0;
    block.querySelector("[data-unknown-count]").textContent = unknown;
    block.querySelector("[data-unknown-noun]").textContent = unknown === 1 ? "square is" : "squares are";
    block.querySelector("[data-not-ready]").hidden = ready;
    block.querySelector("[data-ready]").hidden = !ready;
  }

  function draw() {
    document.querySelectorAll("[data-stop-map]").forEach(function (block) {
      var kept = read(block.dataset.stopMap), rows = rowsOf(block, kept);
      rows.forEach(function (row) { fill(row, kept); });
      verdict(block, rows.filter(function (row) { return !row.hidden; }));
    });
  }

  draw();
  window.OnionskinStops = { read: read, write: write, forget: forget, today: today };
})();
