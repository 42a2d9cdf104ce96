/* The mistake machine: the same program with one thing wrong. What would have happened was worked out when the page
   was made, by the same checks as for the job itself; here it is only shown. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;

  function begin(data, own, stage, moments) {
    var choice = document.querySelector("[data-mistake-choice]");
    var banner = document.querySelector("[data-mistake-banner]");
    var player = document.querySelector("[data-player]");
    var scene = data.scene, firstStays = false;

    function show(id) {
      var mistake = data.mistakes.find(function (one) { return one.id === id; });
      scene = mistake ? mistake.scene : data.scene;
      firstStays = Boolean(mistake && mistake.firstStays);
      choice.value = mistake ? id : "";
      player.dataset.mistake = mistake ? id : "";
      R.use(mistake ? (mistake.track ? R.unpack(mistake.track) : own) : own);
      banner.hidden = !mistake;
      banner.querySelector("[data-mistake-title]").textContent = mistake ? mistake.title : "";
      banner.querySelector("[data-mistake-says]").textContent = mistake ? mistake.says.join(" ") : "";
      if (mistake) moments.none(); else moments.listen();
      stage.show(scene, mistake ? mistake.marks : data.findings, firstStays);
      R.goToPoint(mistake && mistake.point !== null ? mistake.point : 0);
    }

    choice.addEventListener("change", function () { show(choice.value); });
    banner.querySelector("[data-mistake-off]").addEventListener("click", function () {
      show("");
      choice.focus();
    });
    document.querySelectorAll("[data-show-mistake]").forEach(function (button) {
      button.hidden = false;
      button.addEventListener("click", function () {
        show(button.dataset.showMistake);
        choice.focus();
        player.scrollIntoView();
      });
    });
    R.scene = function () { return scene; };
    R.firstStays = function () { return firstStays; };
    show("");
  }

  R.mistakes = { begin: begin };
})();
