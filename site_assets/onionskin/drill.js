/* A drill: opening an act puts the others away, so that it reads as a story; a wrong act can be taken back.
   The day of the last way through with best acts only is kept and shown in the list of drills. */
(function () {
  "use strict";
  var store = window.OnionskinStore;

  function good(kept) { return typeof kept === "object" && !Number.isNaN(Date.parse(kept.date)); }

  function dayOf(iso) { return new Date(iso).toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" }); }

  function begin(drill) {
    var play = drill.querySelector("[data-play]"), debrief = drill.querySelector("[data-debrief]");
    var again = drill.querySelector("[data-again]"), score = drill.querySelector("[data-score]");
    var misses = 0;

    function choices(node) { return Array.from(node.children).filter(function (part) { return part.tagName === "DETAILS"; }); }

    function back(choice) {
      var button = document.createElement("button");
      button.type = "button";
      button.className = "os-button os-back";
      button.textContent = "Take it back";
      button.addEventListener("click", function () {
        choice.open = false;
        choice.querySelector("summary").focus();
      });
      choice.querySelector(".os-outcome").append(" ", button);
    }

    function close(choice) {
      choice.querySelectorAll("details[open]").forEach(function (inner) { inner.open = false; });
    }

    function end() {
      debrief.hidden = false;
      again.hidden = false;
      score.textContent = misses === 0 ? "Every act was the best one." : "Acts that were not the best: " + misses + ". Play it again until there are none.";
      if (misses === 0) store.write("drill." + drill.dataset.drill, { date: new Date().toISOString() });
    }

    function decide(choice) {
      var node = choice.parentElement;
      choices(node).forEach(function (other) { if (other !== choice) other.hidden = choice.open; });
      node.classList.toggle("os-node--decided", choice.open);
      if (!choice.open) {
        close(choice);
        debrief.hidden = true;
        return;
      }
      if (!("best" in choice.dataset)) misses += 1;
      if (choice.querySelector(":scope > [data-end]")) end();
    }

    /* Another order at each play, so that the place of an answer is never learnt by heart. */
    function shuffle() {
      play.querySelectorAll(".os-node").forEach(function (node) {
        choices(node).map(function (choice) { return { choice: choice, at: Math.random() }; })
          .sort(function (a, b) { return a.at - b.at; })
          .forEach(function (entry) { node.append(entry.choice); });
      });
    }

    function restart() {
      play.querySelectorAll("details[open]").forEach(function (choice) { choice.open = false; });
      misses = 0;
      shuffle();
      debrief.hidden = true;
      again.hidden = true;
      play.querySelector(".os-node__says").focus();
    }

    play.querySelectorAll("details").forEach(function (choice) {
      if (!("best" in choice.dataset)) back(choice);
      choice.addEventListener("toggle", function () { decide(choice); });
    });
    again.addEventListener("click", restart);
    shuffle();
    debrief.hidden = true;
  }

  document.querySelectorAll("article[data-drill]").forEach(begin);
  document.querySelectorAll("[data-drill-result]").forEach(function (place) {
    var kept = store.read("drill." + place.dataset.drillResult, good);
    place.textContent = kept ? "Best acts only, " + dayOf(kept.date) : "";
  });
})();
