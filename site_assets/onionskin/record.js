/* 'My record': the results kept on this device as a list, a file, a line and a QR code of the line. What the
   line looks like is said in generator/register/slip.py. A name is in the file if it was typed, never in the line. */
(function () {
  "use strict";
  var root = document.querySelector("[data-record]"), course = window.ONIONSKIN;
  var store = window.OnionskinStore, results = window.OnionskinResult, ID = /^[a-z0-9]+(-[a-z0-9]+)*$/;
  if (!root || !course) return;

  function place(name) { return root.querySelector("[" + name + "]"); }

  function rows(name) { return Array.from(root.querySelectorAll("[data-record-" + name + "]")); }

  function dayOf(moment) {
    return [moment.getFullYear(), moment.getMonth() + 1, moment.getDate()].map(function (part) {
      return String(part).padStart(2, "0");
    }).join("-");
  }

  function isCount(value) { return Number.isInteger(value) && value >= 0 && value <= 999; }

  function goodQuiz(kept) {
    return results.good(kept) && ID.test(kept.machine) && /^[A-F]$/.test(kept.form) && [kept.right, kept.of, kept.missed].every(isCount);
  }

  function goodDrill(kept) {
    return typeof kept === "object" && !Number.isNaN(Date.parse(kept.date));
  }

  function quizzes() {
    return rows("lesson").map(function (row) {
      var kept = store.read("quiz." + row.dataset.recordLesson, goodQuiz);
      return kept && {
        lesson: row.dataset.recordLesson, machine: kept.machine, form: kept.form, right: kept.right, of: kept.of,
        missed: kept.missed, passed: kept.passed, date: dayOf(new Date(kept.date)), questions: kept.questions || null
      };
    }).filter(Boolean);
  }

  function drills() {
    return rows("drill").map(function (row) {
      var kept = store.read("drill." + row.dataset.recordDrill, goodDrill);
      return kept && { drill: row.dataset.recordDrill, date: dayOf(new Date(kept.date)) };
    }).filter(Boolean);
  }

  function packed(day) { return day.replace(/-/g, ""); }

  function lineOf(slip) {
    var parts = slip.results.map(function (r) {
      return ["Q", r.lesson, r.machine, r.form, r.right, r.of, r.missed, r.passed ? "P" : "F", packed(r.date)]
        .concat(r.questions || []).join(".");
    }).concat(slip.drills.map(function (d) { return ["D", d.drill, packed(d.date)].join("."); }));
    return ["ONIONSKIN1", packed(slip.made), slip.course].concat(parts).join("/").toUpperCase();
  }

  function slipNow() {
    var slip = { onionskin: "slip", version: 1, made: dayOf(new Date()), course: course.revision, results: quizzes(), drills: drills() };
    slip.digest = window.OnionskinDigest(lineOf(slip)).slice(0, 16);
    return slip;
  }

  function showRow(row, kept, words) {
    row.toggleAttribute("data-record-open", !kept);
    row.querySelector("[data-record-outcome]").textContent = kept ? words : "not yet";
    row.querySelector("[data-record-day]").textContent = kept ? results.dayOf(kept.date) : "";
  }

  function showRows(slip) {
    rows("lesson").forEach(function (row) {
      var kept = slip.results.find(function (result) { return result.lesson === row.dataset.recordLesson; });
      showRow(row, kept, kept && results.since(kept, row.dataset.questions));
    });
    rows("drill").forEach(function (row) {
      var kept = slip.drills.find(function (drill) { return drill.drill === row.dataset.recordDrill; });
      showRow(row, kept, "Best acts only");
    });
  }

  function code(line) {
    var modules = window.OnionskinQr(line), name = "http://www.w3.org/2000/svg";
    if (!modules) return "Too much for one code. Save the file instead.";
    var drawing = document.createElementNS(name, "svg"), path = document.createElementNS(name, "path"), size = modules.length + 8;
    path.setAttribute("d", modules.map(function (row, y) {
      return row.map(function (dark, x) { return dark ? "M" + (x + 4) + " " + (y + 4) + "h1v1h-1z" : ""; }).join("");
    }).join(""));
    drawing.setAttribute("viewBox", "0 0 " + size + " " + size);
    drawing.setAttribute("role", "img");
    drawing.setAttribute("aria-label", "QR code of your slip");
    drawing.setAttribute("shape-rendering", "crispEdges");
    drawing.append(path);
    return drawing;
  }

  function show() {
    var slip = slipNow(), empty = !slip.results.length && !slip.drills.length, line = lineOf(slip) + "/" + slip.digest.toUpperCase();
    var passed = rows("lesson").filter(function (row) {
      var kept = slip.results.find(function (result) { return result.lesson === row.dataset.recordLesson; });
      return kept && kept.passed && !results.isStale(kept, row.dataset.questions);
    }).length;
    showRows(slip);
    place("data-record-today").textContent = results.dayOf(slip.made);
    place("data-record-status").textContent = passed + " of " + rows("lesson").length + " quizzes passed on this device.";
    place("data-record-tools").hidden = place("data-record-slip").hidden = empty;
    place("data-record-line").textContent = empty ? "" : line;
    place("data-record-code").replaceChildren(empty ? "" : code(line));
  }

  function save() {
    var slip = slipNow(), name = place("data-record-name").value.trim(), link = document.createElement("a");
    if (name) slip.name = name;
    link.href = URL.createObjectURL(new Blob([JSON.stringify(slip, null, 1) + "\n"], { type: "application/json" }));
    link.download = "slip-" + slip.made + ".json";
    link.click();
    setTimeout(function () { URL.revokeObjectURL(link.href); }, 1000);
  }

  function clear() {
    if (!window.confirm("Take all results off this device? Save or print them first.")) return;
    rows("lesson").forEach(function (row) {
      store.remove("quiz." + row.dataset.recordLesson);
      window.OnionskinSchedule.forget(row.dataset.recordLesson);
    });
    rows("drill").forEach(function (row) { store.remove("drill." + row.dataset.recordDrill); });
    show();
  }

  place("data-record-save").addEventListener("click", save);
  place("data-record-clear").addEventListener("click", clear);
  window.addEventListener("pageshow", show);
  show();
})();
