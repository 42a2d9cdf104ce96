/* Buttons, scrub bar, speed and keys. Every key does what a button does. Keys count only inside the player, so that
   space and arrows still scroll the rest of the page. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;

  function clockWords(seconds) {
    var whole = Math.floor(seconds + 0.0005), minutes = Math.floor(whole / 60), rest = whole % 60;
    return minutes + ":" + (rest < 10 ? "0" : "") + rest;
  }

  function begin() {
    var player = document.querySelector("[data-player]");
    var scrub = player.querySelector("[data-scrub]");
    var playButton = player.querySelector("[data-act=play]");
    var acts = {
      play: function () { if (R.clock.playing) R.pause(); else R.play(); },
      back: function () { R.step(-1); },
      on: function () { R.step(1); },
      start: function () { R.pause(); R.goToPoint(0); },
      end: function () { R.pause(); R.goToPoint(R.clock.track.count - 1); }
    };
    var keys = { " ": "play", ArrowLeft: "back", ArrowRight: "on", Home: "start", End: "end" };

    Object.keys(acts).forEach(function (act) {
      player.querySelector("[data-act=" + act + "]").addEventListener("click", acts[act]);
    });
    player.addEventListener("keydown", function (event) {
      var act = keys[event.key];
      if (!act || event.ctrlKey || event.altKey || event.metaKey || own(event.target, event.key)) return;
      event.preventDefault();
      acts[act]();
    });
    scrub.addEventListener("input", function () {
      R.pause();
      R.go(scrub.value / 1000);
    });
    player.querySelectorAll("[name=speed]").forEach(function (choice) {
      choice.addEventListener("change", function () { R.clock.speed = Number(choice.value); });
    });
    R.watch(function (clock) {
      scrub.max = Math.ceil(R.end() * 1000);
      scrub.value = Math.round(clock.time * 1000);
      var spoken = clockWords(clock.time) + " of " + clockWords(R.end());
      scrub.setAttribute("aria-valuetext", spoken + ", line " + clock.track.line[R.heading()]);
      player.querySelector("[data-time]").textContent = spoken;
      playButton.querySelector("span").textContent = clock.playing ? "Pause" : "Play";
      playButton.dataset.playing = clock.playing;
    });
  }

  /* Whether the key already means something where the focus is: space on a button, arrows on a choice. */
  function own(target, key) {
    var name = target.tagName.toLowerCase();
    if (name === "select" || name === "a" || name === "summary") return true;
    if (name === "button") return key === " ";
    return name === "input" && (target.type !== "range");
  }

  R.controls = { begin: begin, clockWords: clockWords };
})();
