/* Results of quizzes: what is kept in the browser, and the words for it. A result knows the digest of the questions
   it answers; where the page has others by now, it is stale. */
(function () {
  "use strict";
  var store = window.OnionskinStore;

  function good(kept) {
    return typeof kept === "object" && typeof kept.right === "number" && typeof kept.of === "number" &&
      typeof kept.passed === "boolean" && !Number.isNaN(Date.parse(kept.date)) &&
      (kept.questions === undefined || /^[0-9a-f]{6}$/.test(kept.questions));
  }

  function dayOf(iso) {
    return new Date(iso).toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
  }

  function outcome(result) {
    return (result.passed ? "Passed: " : "Not passed: ") + result.right + " of " + result.of + " right";
  }

  function isStale(result, questions) { return result.questions !== questions; }

  /* The outcome of a kept result beside the questions of today. */
  function since(result, questions) {
    return outcome(result) + (isStale(result, questions) ? ", but its questions have changed since. Take it again" : "");
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
      var today = place.closest("[data-questions]").dataset.questions;
      place.textContent = kept ? "Last time, " + dayOf(kept.date) + ": " + since(kept, today) + "." : "";
    });
  }

  function keep(id, result) {
    store.write("quiz." + id, result);
    if (result.passed) window.OnionskinSchedule.note(id, result.date);
    showLast(id);
  }

  document.querySelectorAll("[data-quiz-result]").forEach(function (place) { showLast(place.dataset.quizResult); });
  window.OnionskinResult = { keep: keep, words: words, good: good, outcome: outcome, since: since, isStale: isStale, dayOf: dayOf };
})();
