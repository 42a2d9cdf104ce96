/* What the program does at this moment, in words: its line, the move, where the cutter is and what else is on. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;
  var KINDS = ["Rapid move, through the air", "Straight cut", "Arc, clockwise", "Arc, counter-clockwise", "Probing move",
    "The path is known again from here", "Waits"];

  function number(value) {
    var text = (Math.round(value * 100) / 100).toFixed(2).replace(/\.?0+$/, "");
    return text === "-0" ? "0" : text.replace("-", "−");
  }

  /* The last events of each sort up to `time`: spindle code, speed and tool. */
  function stateAt(events, time) {
    var state = { spindle: null, speed: null, tool: null, changed: null };
    for (var i = 0; i < events.length && events[i][0] <= time + 1e-9; i += 1) {
      var code = events[i][1], value = events[i][2];
      if (code === "M3" || code === "M4" || code === "M5") state.spindle = code;
      else if (code === "S") state.speed = value;
      else if (code === "T") state.tool = value;
      else if (code === "M6") state.changed = state.tool;
    }
    return state;
  }

  /* The cutter in the collet: the first until a change to a number the job knows. */
  function cutterAt(cutters, events, time, firstStays) {
    var changed = firstStays ? null : stateAt(events, time).changed;
    return cutters.find(function (cutter) { return changed !== null && cutter.number === changed; }) || cutters[0];
  }

  function spindleWords(state, byHand) {
    if (byHand) return "by hand: your switch, not the program";
    if (state.spindle === null) return "not told anything yet";
    if (state.spindle === "M5") return "told to stop";
    return "turning" + (state.speed ? " at " + Math.round(state.speed) + " rpm" : "");
  }

  function depthWords(z, scene) {
    if (scene.top === null) return "";
    var below = scene.top - z;
    if (below <= 0) return number(-below) + " mm above the board";
    if (scene.bottom !== null && z < scene.bottom - 0.001) return number(scene.bottom - z) + " mm into the bed";
    return number(below) + " mm below the top of the board";
  }

  function begin(data) {
    var player = document.querySelector("[data-player]");
    function put(name, words) { player.querySelector("[data-say=" + name + "]").textContent = words; }

    R.watch(function (clock) {
      var track = clock.track, i = R.heading();
      var place = R.place(), scene = R.scene(), state = stateAt(data.events, clock.time), kind = track.kind[i];
      put("line", "Line " + track.line[i]);
      put("move", KINDS[kind] + (track.feed[i] > 0 && kind !== R.RAPID && kind !== R.WAIT ? " at " + number(track.feed[i]) + " mm/min" : "") +
        (kind === R.WAIT ? "" : " to X " + number(track.x[i]) + ", Y " + number(track.y[i]) + ", Z " + number(track.z[i])));
      put("place", "X " + number(place[0]) + "  Y " + number(place[1]) + "  Z " + number(place[2]));
      put("depth", depthWords(place[2], scene));
      put("spindle", spindleWords(state, data.spindleByHand));
      put("cutter", cutterAt(scene.cutters, data.events, clock.time, R.firstStays()).name);
      lines(player.querySelector("[data-lines]"), data.lines, track.line[i]);
    });
  }

  /* The program's text round the line being carried out. */
  function lines(place, known, line) {
    if (place.dataset.line === String(line)) return;
    place.dataset.line = line;
    place.replaceChildren();
    for (var number = Math.max(1, line - 2); number <= line + 2; number += 1) {
      var text = known[number];
      if (text === undefined && number !== line) continue;
      var row = document.createElement("li");
      row.value = number;
      if (number === line) row.setAttribute("aria-current", "step");
      var code = document.createElement("code");
      code.textContent = text === undefined ? "(not kept on this page)" : text;
      row.append(code);
      place.append(row);
    }
  }

  R.cutterAt = cutterAt;
  R.number = number;
  R.readout = { begin: begin };
})();
