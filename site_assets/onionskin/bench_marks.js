/* Marks of the clamp bench: clamps and tabs that can be taken hold of, the weakest place, the pivot with its turning
 * arrow. The same look as generator/holding/picture.py, in the drawing's own units. */
(function () {
  "use strict";
  var X = window.OnionskinX;
  var ARROW = 34, TURN = 17, HEAD = 7, BOLT_OUT = 16, NUMBER = 8.5, RING = 19;

  function n1(value) { return X.fixed(value, 1); }

  function words(x, y, text, look) {
    return '<text class="' + look + '" x="' + n1(x) + '" y="' + n1(y) + '" text-anchor="middle">' + text + "</text>";
  }

  function outward(at, board) {
    var sides = [
      [at.x - board[0], board[0] - BOLT_OUT, at.y], [board[2] - at.x, board[2] + BOLT_OUT, at.y],
      [at.y - board[1], at.x, board[1] - BOLT_OUT], [board[3] - at.y, at.x, board[3] + BOLT_OUT]
    ];
    sides.sort(function (a, b) { return a[0] - b[0]; });
    return [sides[0][1], sides[0][2]];
  }

  /* A mark is what is drawn, and the way along which it can be taken hold of. */
  function clamp(at, number, spec, board, place, scale) {
    var end = at.bolt || outward(at, board), a = place(end[0], end[1]), b = place(at.x, at.y);
    var way = "M" + n1(a[0]) + " " + n1(a[1]) + "L" + n1(b[0]) + " " + n1(b[1]);
    return { way: way, drawing: ring(b) + (at.box ? box(at.box, place) : strap(end, at, a, spec, place, scale)) +
      '<circle class="b-disc" cx="' + n1(a[0]) + '" cy="' + n1(a[1]) + '" r="' + NUMBER + '"/>' +
      words(a[0], a[1] + 4.5, number, "b-number") };
  }

  function box(at, place) {
    var a = place(at[0], at[3]), b = place(at[2], at[1]);
    return '<rect class="b-clamp" x="' + n1(a[0]) + '" y="' + n1(a[1]) + '" width="' + n1(b[0] - a[0]) + '" height="' + n1(b[1] - a[1]) + '"/>';
  }

  /* From the bolt to its round end, which lies so that the nose ends where it is judged to. As spots.py's ClampShape.end. */
  function strap(bolt, at, a, spec, place, scale) {
    var arm = Math.hypot(at.x - bolt[0], at.y - bolt[1]), share = arm ? Math.max(0, 1 + (spec.nose - spec.half) / arm) : 1;
    var b = place(bolt[0] + share * (at.x - bolt[0]), bolt[1] + share * (at.y - bolt[1])), wide = 2 * spec.half * scale;
    var way = "M" + n1(a[0]) + " " + n1(a[1]) + "L" + n1(b[0]) + " " + n1(b[1]);
    return '<path class="b-strap-edge" stroke-width="' + n1(wide + 2.4) + '" d="' + way + '"/>' +
      '<path class="b-strap" stroke-width="' + n1(wide) + '" d="' + way + '"/>';
  }

  /* Shown round the one that has the focus. */
  function ring(p) {
    return '<circle class="b-ring" cx="' + n1(p[0]) + '" cy="' + n1(p[1]) + '" r="' + RING + '"/>';
  }

  function tab(at, number, place) {
    var p = place(at.x, at.y);
    return { way: "M" + n1(p[0]) + " " + n1(p[1]) + "h0", drawing: ring(p) + '<circle class="b-disc b-tab" cx="' + n1(p[0]) + '" cy="' + n1(p[1]) + '" r="11"/>' +
      words(p[0], p[1] + 4.5, number, "b-number") };
  }

  function shaft(way, tip, ux, uy) {
    var bx = tip[0] - HEAD * ux, by = tip[1] - HEAD * uy, side = 0.55 * HEAD;
    return '<path class="b-push" d="' + way + "M" + n1(bx - side * uy) + " " + n1(by + side * ux) + "L" + n1(tip[0]) + " " +
      n1(tip[1]) + "L" + n1(bx + side * uy) + " " + n1(by - side * ux) + '"/>';
  }

  function worst(found, place, size) {
    var p = place(found.x, found.y), dx = found.direction[0], dy = -found.direction[1];
    var tip = [p[0] + ARROW * dx, p[1] + ARROW * dy];
    var drawn = '<path class="b-worst" d="M' + n1(p[0] - 6) + " " + n1(p[1] - 6) + 'l12 12m0 -12l-12 12"/>' +
      shaft("M" + n1(p[0]) + " " + n1(p[1]) + "L" + n1(tip[0]) + " " + n1(tip[1]), tip, dx, dy) +
      words(p[0], p[1] + (dy < 0 ? 21 : -11), "weakest", "b-danger");
    return drawn + (found.pivot ? pivot(place(found.pivot[0], found.pivot[1]), p, [dx, dy], size) : "");
  }

  function pivot(at, p, push, size) {
    if (at[0] < 0 || at[1] < 0 || at[0] > size[0] || at[1] > size[1]) {
      return words(Math.min(Math.max(at[0], 60), size[0] - 60), Math.min(Math.max(at[1], 14), size[1] - 6),
        "pivot off the picture", "b-danger");
    }
    var sense = (p[0] - at[0]) * push[1] - (p[1] - at[1]) * push[0] > 0 ? 1 : -1;
    var start = -140 * Math.PI / 180, end = start + sense * 1.5 * Math.PI;
    function on(angle) { return [at[0] + TURN * Math.cos(angle), at[1] + TURN * Math.sin(angle)]; }
    var a = on(start), b = on(end);
    var way = "M" + n1(a[0]) + " " + n1(a[1]) + "A" + TURN + " " + TURN + " 0 1 " + (sense > 0 ? 1 : 0) + " " + n1(b[0]) + " " + n1(b[1]);
    return '<circle class="b-pivot" cx="' + n1(at[0]) + '" cy="' + n1(at[1]) + '" r="2.6"/>' +
      shaft(way, b, -sense * Math.sin(end), sense * Math.cos(end)) +
      words(at[0], at[1] < size[1] / 2 ? at[1] + TURN + 14 : at[1] - TURN - 6, "pivot", "b-danger");
  }

  window.OnionskinBenchMarks = Object.freeze({ clamp: clamp, tab: tab, worst: worst });
})();
