/* Starts the page: reads its data, then each behaviour in turn. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;
  var data = JSON.parse(document.querySelector("[data-rehearsal]").textContent);
  var own = R.unpack(data.track);

  document.querySelectorAll("[data-script-only]").forEach(function (part) { part.hidden = false; });
  R.scene = function () { return data.scene; };
  R.firstStays = function () { return false; };
  R.use(own);
  var stage = R.stage.begin(data);
  R.controls.begin();
  R.readout.begin(data);
  R.mistakes.begin(data, own, stage, R.moments.begin(data));
  document.querySelectorAll("[data-jump]").forEach(function (button) {
    button.hidden = false;
    button.addEventListener("click", function () {
      R.pause();
      R.goToPoint(Number(button.dataset.jump));
      document.querySelector("[data-player]").scrollIntoView();
    });
  });
  document.querySelectorAll("[data-print]").forEach(function (button) {
    button.addEventListener("click", function () {
      document.body.dataset.printing = button.dataset.print;
      window.print();
    });
  });
})();
