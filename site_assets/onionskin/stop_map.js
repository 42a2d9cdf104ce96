/* Stop maps: what was seen in a test on this device is laid over what the profile says, on every page that
   shows the grid. Kept as { day, controls: { name: { effect: answer } }, absent: [names] }. A test of the
   profile that is younger than ours wins; an untested square stays unknown. */
(function () {
  "use strict";
  var store = window.OnionskinStore;
  var EFFECTS = ["axes", "spindle", "extraction", "position"];
  var LEGAL = ["stops", "goes on", "kept", "lost", "unknown"];

  function legal(answers) {
    return typeof answers === "object" && answers !== null && Object.keys(answers).every(function (effect) {
      return EFFECTS.indexOf(effect) >= 0 && LEGAL.indexOf(answers[effect]) >= 0;
    });
  }

  function good(kept) {
    return typeof kept === "object" && /^\d{4}-\d\d-\d\d$/.test(kept.day) && typeof kept.controls === "object" &&
      kept.controls !== null && Array.isArray(kept.absent) &&
      Object.keys(kept.controls).every(function (name) { return name.length <= 60 && legal(kept.controls[name]); });
  }

  function today() {
    var now = new Date();
    return [now.getFullYear(), two(now.getMonth() + 1), two(now.getDate())].join("-");
  }

  function two(number) { return (number < 10 ? "0" : "") + number; }

  function read(id) { return store.read("stops." + id, good) || { day: "", controls: {}, absent: [] }; }

  function write(id, kept) {
    kept.day = today();
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
    row.querySelectorAll("[data-effect]").forEach(function (cell) { if (cell !== empty) cell.dataset.square = "unknown"; });
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

  function fill(row, kept) {
    var answers = kept.controls[row.dataset.control];
    var counts = answers && kept.day >= row.dataset.tested;
    row.querySelectorAll("[data-effect]").forEach(function (cell) { square(cell, counts ? answers[cell.dataset.effect] : null); });
    var whole = counts && Object.keys(answers).length >= row.querySelectorAll('[data-effect]:not([data-square="none here"])').length;
    row.querySelector("[data-tested-on]").textContent = whole ? kept.day : row.dataset.tested || "never";
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
