/* Both views of what is being played: the job as it is, or the job with a mistake. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;
  var MOST_HIGH = 0.5;
  var SIDE_SHARE = 0.24;

  function begin(data) {
    var stage = document.querySelector("[data-stage]");
    var plan = new R.View(stage.querySelector("[data-view=plan]"), ["x", "y"]);
    var side = new R.View(stage.querySelector("[data-view=side]"), ["x", "z"]);
    var shown = { scene: data.scene, marks: [] };

    function planBox() {
      var scene = shown.scene, track = R.clock.track;
      var boxes = scene.clamps.map(function (clamp) { return clamp.box; });
      if (scene.stock) boxes.push(scene.stock);
      if (track.count) {
        var x = R.extent(track.x, Infinity, -Infinity), y = R.extent(track.y, Infinity, -Infinity);
        boxes.push([x[0], y[0], x[1], y[1]]);
      }
      var box = R.joined(boxes), margin = Math.max(12, (box[2] - box[0]) * 0.03);
      return [box[0] - margin, box[1] - margin, box[2] + margin, box[3] + margin];
    }

    /* From a little of the bed up to where the nut can still be seen at the deepest cut. */
    function sideBox(plane) {
      var scene = shown.scene, z = R.extent(R.clock.track.z, 0, 0), cutter = scene.cutters[0];
      var floor = Math.min(z[0], scene.bottom === null ? z[0] : scene.bottom) - R.bed.shown;
      var high = Math.max(z[1], z[0] + (cutter.stickOut === null ? 25 : cutter.stickOut) + 12, scene.safe || 0) + 8;
      var axis = side.seen[0] === "x" ? 0 : 1;
      return [plane[axis], floor, plane[axis + 2], high];
    }

    function fit() {
      var box = planBox(), width = plan.place.clientWidth;
      if (!width) return;
      var most = Math.max(220, Math.min(window.innerHeight * MOST_HIGH, width));
      plan.fit(box, Math.round(Math.min(most, width * (box[3] - box[1]) / (box[2] - box[0]))), 1);
      fitSide(sideBox(box), plan.view.scale);
      draw();
    }

    /* Heights are enlarged by a whole number so that they can be read beside the length of a board. */
    function fitSide(box, scale) {
      var width = side.place.clientWidth, wide = width / (box[2] - box[0]);
      if (side.seen[0] === "x") wide = Math.min(wide, scale);
      var stretch = Math.max(1, Math.min(6, Math.round(width * SIDE_SHARE / ((box[3] - box[1]) * wide))));
      side.fit(box, Math.round((box[3] - box[1]) * wide * stretch), stretch);
      stage.querySelector("[data-stretch]").textContent =
        stretch > 1 ? "Heights are drawn " + stretch + " times as large as lengths." : "";
    }

    function draw() {
      var scene = shown.scene, ink = R.ink.colours(), track = R.clock.track;
      look = function (kind, before, z) { return R.ink.styleOf(kind, before, z, scene, data.bands, ink); };
      R.bed.fromAbove(plan.view, scene, plan.still);
      R.bed.fromSide(side.view, scene, side.seen[0] === "x" ? 0 : 1, side.still);
      plan.drawFaint(track, look);
      side.drawFaint(track, look);
      plan.marks.replaceChildren();
      side.marks.replaceChildren();
      R.bed.names(plan.view, scene, plan.marks);
      R.bed.zero(plan.view, plan.marks);
      R.marks.draw(plan, shown.marks, track);
      R.marks.draw(side, shown.marks, track);
      R.refresh();
    }

    var look;

    function move(clock) {
      var place = R.place(), track = clock.track, at = track.count ? clock.index : 0;
      var next = Math.min(at + 1, track.count - 1), from = [track.x[at], track.y[at], track.z[at]];
      var cutter = R.cutterAt(shown.scene.cutters, data.events, clock.time, shown.firstStays);
      [plan, side].forEach(function (view) {
        view.drawDone(track, at, look);
        view.moving.replaceChildren();
        if (track.kind[next] !== R.LOST) view.moving.append(view.underWay(from, place, track.kind[next]));
      });
      plan.cutterFromAbove(place, cutter, shown.scene.nut);
      side.cutterFromSide(place, cutter, shown.scene.nut);
    }

    function turn() {
      side.seen = side.seen[0] === "x" ? ["y", "z"] : ["x", "z"];
      stage.querySelector("[data-side-name]").textContent =
        side.seen[0] === "x" ? "From the front" : "From the right, front edge on the left";
      fit();
    }

    document.querySelector("[data-turn]").addEventListener("click", turn);
    window.addEventListener("resize", fit);
    window.matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
    R.watch(move);
    return {
      show: function (scene, marks, firstStays) {
        shown = { scene: scene, marks: marks, firstStays: firstStays };
        fit();
      }
    };
  }

  R.stage = { begin: begin };
})();
