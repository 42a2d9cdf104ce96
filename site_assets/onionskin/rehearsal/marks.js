/* Numbered marks on the path: an octagon for stop, a triangle for a warning, a circle for a note. Each leads to its
   place in the list. Marks that would lie on each other are set side by side. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;
  var SIZE = 13, GAP = 27;

  function octagon(x, y, r) {
    var points = [];
    for (var i = 0; i < 8; i += 1) {
      var angle = Math.PI / 8 + i * Math.PI / 4;
      points.push((x + r * Math.cos(angle)).toFixed(1) + "," + (y + r * Math.sin(angle)).toFixed(1));
    }
    return points.join(" ");
  }

  function shape(severity, x, y) {
    var style = "r-mark r-mark--" + severity;
    if (severity === "stop") return R.element("polygon", { "class": style, points: octagon(x, y, SIZE + 1) });
    if (severity === "warn") {
      var points = [x, y - 15, x + 15, y + 11, x - 15, y + 11].join(" ");
      return R.element("polygon", { "class": style, points: points });
    }
    return R.element("circle", { "class": style, cx: x, cy: y, r: SIZE });
  }

  function draw(view, marks, track) {
    var taken = [];
    marks.forEach(function (mark) {
      if (mark.point === null || mark.point >= track.count) return;
      var seen = view.pick([track.x[mark.point], track.y[mark.point], track.z[mark.point]]);
      var x = view.view.across(seen[0]), y = view.view.up(seen[1]);
      var at = free(taken, Math.min(Math.max(x, 15), view.view.width - 15), Math.min(Math.max(y - 20, 15), view.view.height - 15),
        view.view.width);
      taken.push(at);
      view.marks.append(R.element("line", { "class": "r-leader", x1: x, y1: y, x2: at[0], y2: at[1] }));
      view.marks.append(R.element("circle", { "class": "r-spot", cx: x, cy: y, r: 3.5 }));
      view.marks.append(linked(mark, at));
    });
  }

  function free(taken, x, y, width) {
    var way = x > width - 60 ? -GAP : GAP;
    function meets(at) { return Math.abs(at[0] - x) < GAP && Math.abs(at[1] - y) < GAP; }
    for (var tries = 0; tries < 12 && taken.some(meets); tries += 1) x += way;
    return [x, y];
  }

  function linked(mark, at) {
    var link = R.element("a", { href: "#" + mark.target, "aria-label": mark.name });
    var down = mark.severity === "warn" ? 7 : 4.5;
    link.append(shape(mark.severity, at[0], at[1]));
    link.append(R.element("text", { "class": "r-mark-number", x: at[0], y: at[1] + down, "text-anchor": "middle" }, mark.number));
    return link;
  }

  R.marks = { draw: draw };
})();
