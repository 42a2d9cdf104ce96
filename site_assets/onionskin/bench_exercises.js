/* The exercises of the clamp bench that a job allows: each sets the bench up, looks at what it shows, and says when it is solved. */
(function () {
  "use strict";
  var places = window.OnionskinPlaces;
  var HINGE_SHARE = 0.5;

  function exercises(root, data, state, bench) {
    var active = null;

    function item(name) { return root.querySelector('[data-exercise="' + name + '"]'); }
    function spec(name) { return data.view[name]; }
    function standing(name, points) {
      return points.map(function (p) { return Object.assign({}, spec(name).one, { x: p[0], y: p[1] }); });
    }

    /* Places for `count` clamps along the left edge of the board. */
    function leftEdge(count) {
      var b = data.board, inset = 10;
      return Array.from({ length: count }, function (_, k) {
        return [b[0] + inset, b[1] + inset + (b[3] - b[1] - 2 * inset) * (k + 0.5) / count];
      });
    }

    function corners() {
      var b = data.board, inset = 10;
      return [[b[0] + inset, b[1] + inset], [b[2] - inset, b[1] + inset], [b[2] - inset, b[3] - inset], [b[0] + inset, b[3] - inset]];
    }

    var starts = {
      hinge: function () { bench.areas(false); bench.restart("board", standing("board", corners())); },
      corner: function () { bench.areas(true); bench.restart("board", standing("board", leftEdge(data.exercises.corner))); },
      part: function () {
        var line = spec("part").outline, step = places.length(line) / 40;
        bench.restart("part", standing("part", [places.walked(line, line[0], step), places.walked(line, line[0], 3 * step)]));
      }
    };

    /* Two clamps on one side: the board turns about one of them, and holds less than half of what it does between them. */
    function hinge(found) {
      if (state.view !== "board" || state.pads.length !== 2 || found.rules !== "turning" || !found.pivot) return false;
      var a = state.pads[0], b = state.pads[1];
      var near = Math.min(away(a, found.pivot), away(b, found.pivot)) <= data.reach;
      return near && found.margin < HINGE_SHARE * bench.marginAt((a.x + b.x) / 2, (a.y + b.y) / 2);
    }

    function away(pad, point) { return Math.hypot(pad.x - point[0], pad.y - point[1]); }

    function held(name, view) {
      return function (found, hits) {
        return state.view === view && !hits && state.force === null && state.pads.length <= data.exercises[name] && found.margin >= data.needed;
      };
    }

    var solved = { hinge: hinge, corner: held("corner", "board"), part: held("part", "part") };

    function look(found, hits) {
      if (!active || item(active).dataset.state === "done") return;
      if (solved[active](found, hits)) show(active, "done");
    }

    function show(name, how) {
      item(name).dataset.state = how;
      item(name).querySelector("[data-exercise-state]").textContent = { begun: "Begun: now move them.", done: "Solved." }[how];
      item(name).querySelector("[data-exercise-why]").hidden = how !== "done";
    }

    root.querySelectorAll("[data-exercise-why]").forEach(function (why) { why.hidden = true; });
    Object.keys(data.exercises).forEach(function (name) {
      item(name).querySelector("button").addEventListener("click", function () {
        active = name;
        show(name, "begun");
        starts[name]();
        root.querySelector("svg").scrollIntoView({ block: "nearest" });
      });
    });
    return { look: look };
  }

  window.OnionskinExercises = exercises;
})();
