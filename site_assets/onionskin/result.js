/* Results of quizzes: what is kept in the browser, and the words for it. */
(function () {
  "use strict";
  var store = window.OnionskinStore;

  function good(kept) {
    return typeof kept === "object" && typeof kept.right === "number" && typeof kept.of === "number" &&
      typeof kept.passed === "boolean" && !Number.isNaN(Date.parse(kept.date));
  }

  function dayOf(iso) {
    return new Date(iso).toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
  }

  function outcome(result) {
    return (result.passed ? "Passed: " : "Not passed: ") + result.right + " of " + result.of + " right";
  }

  /* `needed` is how many right answers pass. */
  function words(result, needed) {
    if (result.passed) return outcome(result) + ".";
    if (result.missed === 1) return outcome(result) + ", and one wrong answer is a must-know. Read why, then take it again.";
    if (result.missed) return outcome(result) + ", and " + result.missed + " wrong answers are must-knows. Read why, then take it again.";
    return outcome(result) + ", " + needed + " needed. Read why, then take it again.";
  }

  function showLast(id) {
    var kept = store.read("quiz." + id, good);
    document.querySelectorAll('[data-quiz-result="' + id + '"]').forEach(function (place) {
      place.textContent = kept ? outcome(kept) + ", " + dayOf(kept.date) : "";
    });
  }

  function keep(id, result) {
    store.write("quiz." + id, result);
    if (result.passed) window.OnionskinSchedule.note(id, result.date);
    showLast(id);
  }

  document.querySelectorAll("[data-quiz-result]").forEach(function (place) { showLast(place.dataset.quizResult); });
  window.OnionskinResult = { keep: keep, words: words, good: good, outcome: outcome, dayOf: dayOf };
})();
