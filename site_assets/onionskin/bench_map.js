/* A margin map as drawing: areas that reach a level and the lines between them, as generator/holding/contours.py says.
 *
 * A map is { columns, rows, x0, y0, x1, y1, margins } with margins row by row from the front-left corner; `place` turns
 * a point in mm into drawing units.
 */
(function () {
  "use strict";
  var LABEL_INSET = 0.06;

  function n1(value) { return window.OnionskinX.fixed(value, 1); }

  function text(place, x, y) {
    var at = place(x, y);
    return n1(at[0]) + " " + n1(at[1]);
  }

  function xOf(map, column) { return map.x0 + (map.x1 - map.x0) * column / (map.columns - 1); }

  function yOf(map, row) { return map.y0 + (map.y1 - map.y0) * row / (map.rows - 1); }

  /* Corners of a cell, anticlockwise from its lower left: x, y, margin. */
  function cell(map, row, column) {
    return [[row, column], [row, column + 1], [row + 1, column + 1], [row + 1, column]].map(function (k) {
      return [xOf(map, k[1]), yOf(map, k[0]), map.margins[k[0] * map.columns + k[1]]];
    });
  }

  /* How many of a cell's corners reach the level: most cells are whole or empty and need no more. */
  function reaching(map, row, column, level) {
    var k = row * map.columns + column, m = map.margins;
    return (m[k] >= level) + (m[k + 1] >= level) + (m[k + map.columns] >= level) + (m[k + map.columns + 1] >= level);
  }

  function crossing(a, b, level) {
    if ((a[2] >= level) === (b[2] >= level)) return null;
    var share = (level - a[2]) / (b[2] - a[2]);
    return [a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])];
  }

  function box(place, x0, x1, y0, y1) {
    return "M" + text(place, x0, y0) + "L" + text(place, x1, y0) + "L" + text(place, x1, y1) + "L" + text(place, x0, y1) + "Z";
  }

  function cutCell(corners, level, place) {
    var points = [];
    corners.forEach(function (corner, k) {
      if (corner[2] >= level) points.push(text(place, corner[0], corner[1]));
      var met = crossing(corner, corners[(k + 1) % 4], level);
      if (met) points.push(text(place, met[0], met[1]));
    });
    return points.length ? "M" + points.join("L") + "Z" : "";
  }

  function region(map, level, place) {
    var way = "";
    for (var row = 0; row < map.rows - 1; row++) {
      var start = null, y0 = yOf(map, row), y1 = yOf(map, row + 1);
      for (var column = 0; column < map.columns - 1; column++) {
        var count = reaching(map, row, column, level);
        if (count < 4) {
          if (start !== null) way += box(place, start, xOf(map, column), y0, y1);
          start = null;
          if (count) way += cutCell(cell(map, row, column), level, place);
        } else if (start === null) start = xOf(map, column);
      }
      if (start !== null) way += box(place, start, map.x1, y0, y1);
    }
    return way;
  }

  function contour(map, level) {
    var pieces = [];
    for (var row = 0; row < map.rows - 1; row++) {
      for (var column = 0; column < map.columns - 1; column++) {
        var count = reaching(map, row, column, level);
        if (!count || count === 4) continue;
        var corners = cell(map, row, column), met = [];
        for (var k = 0; k < 4; k++) {
          var at = crossing(corners[k], corners[(k + 1) % 4], level);
          if (at) met.push(at);
        }
        for (var i = 0; i + 1 < met.length; i += 2) pieces.push([met[i], met[i + 1]]);
      }
    }
    return pieces;
  }

  function labelPlace(map, pieces, number) {
    var aim = map.y0 + (map.y1 - map.y0) * (0.25 + 0.12 * number), best = null;
    var dx = LABEL_INSET * (map.x1 - map.x0), dy = LABEL_INSET * (map.y1 - map.y0);
    pieces.forEach(function (piece) {
      var a = piece[0];
      if (a[0] <= map.x0 + dx || a[0] >= map.x1 - dx || a[1] <= map.y0 + dy || a[1] >= map.y1 - dy) return;
      var off = Math.abs(a[1] - aim);
      if (!best || off < best.off || (off === best.off && a[0] < best.at[0])) best = { off: off, at: a };
    });
    return best && best.at;
  }

  function areas(map, levels, place) {
    return [-Infinity].concat(levels).map(function (level, number) {
      var way = region(map, level, place);
      return way && '<path class="b-band b-band-' + Math.min(number, 5) + '" d="' + way + '"/>';
    }).join("");
  }

  function lines(map, levels, needed, place) {
    return levels.map(function (level, number) {
      var pieces = contour(map, level);
      if (!pieces.length) return "";
      var way = pieces.map(function (p) {
        return "M" + text(place, p[0][0], p[0][1]) + "L" + text(place, p[1][0], p[1][1]);
      }).join("");
      var look = level === needed ? "b-line b-line-wanted" : "b-line", at = labelPlace(map, pieces, number);
      return '<path class="' + look + '" d="' + way + '"/>' + (at ? label(place(at[0], at[1]), level) : "");
    }).join("");
  }

  function label(at, level) {
    return '<text class="b-level" x="' + n1(at[0]) + '" y="' + n1(at[1] + 4) + '" text-anchor="middle">' +
      window.OnionskinX.showNumber(level, "1") + "</text>";
  }

  window.OnionskinBenchMap = Object.freeze({ areas: areas, lines: lines });
})();
