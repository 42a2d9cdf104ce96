/* Stop or go? Playing pauses at each moment while the learner wants to be asked. One moment is shown at a time. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;

  function begin(data) {
    var box = document.querySelector("[data-moments]");
    if (!box) return { listen: function () {} };
    var cards = Array.from(box.querySelectorAll("[data-moment]"));
    var ask = document.querySelector("[data-ask]");
    var given = cards.map(function () { return null; });
    var current = 0;

    function show(index) {
      current = index;
      cards.forEach(function (card, number) { card.hidden = number !== index; });
      box.querySelector("[data-moment-back]").disabled = index === 0;
      box.querySelector("[data-moment-on]").disabled = index === cards.length - 1;
    }

    function answer(index, said) {
      var card = cards[index], right = data.moments[index].answer;
      given[index] = said === right;
      card.querySelector("[data-verdict]").textContent = (said === right ? "Yes: " : "No: ") + right + ".";
      card.dataset.right = said === right;
      card.querySelector("details").open = true;
      card.querySelectorAll("[data-answer]").forEach(function (button) {
        button.setAttribute("aria-pressed", button.dataset.answer === said);
      });
      score();
    }

    function score() {
      var asked = given.filter(function (value) { return value !== null; }).length;
      var right = given.filter(function (value) { return value; }).length;
      box.querySelector("[data-score]").textContent = asked + " of " + cards.length + " answered, " + right + " right.";
    }

    function goTo(index) {
      show(index);
      R.pause();
      R.goToPoint(data.moments[index].point);
    }

    function listen() {
      R.clock.stops = ask.checked ? data.moments.map(function (moment, index) {
        return { time: R.clock.track.t[moment.point], reached: function () { reached(index); } };
      }) : [];
    }

    /* The pause is said aloud by the card's own live region. */
    function reached(index) {
      show(index);
      box.scrollIntoView({ block: "nearest" });
      if (given[index] === null) cards[index].querySelector("[data-verdict]").textContent = "Paused here. Stop or go?";
    }

    cards.forEach(function (card, index) {
      card.querySelector("[data-answers]").hidden = false;
      card.querySelectorAll("[data-answer]").forEach(function (button) {
        button.addEventListener("click", function () { answer(index, button.dataset.answer); });
      });
      card.querySelector("[data-see]").addEventListener("click", function () { goTo(index); });
    });
    box.querySelector("[data-moment-back]").addEventListener("click", function () { goTo(current - 1); });
    box.querySelector("[data-moment-on]").addEventListener("click", function () { goTo(current + 1); });
    ask.addEventListener("change", listen);
    show(0);
    score();
    return { listen: listen, none: function () { R.clock.stops = []; } };
  }

  R.moments = { begin: begin };
})();
