/* The grip in the browser: the same kernel as generator/hold (kernel.py, planar.py, demand.py), one case at a time.
 *
 * A setup is plain data: { pads: [{x, y, limit, hold}], stops: [{x, y, blocksX, blocksY, capacity, rub}], sideways, lift,
 * friction, weight, height, corners: [[x, y], ...] anticlockwise } in mm and N.
 *   OnionskinGrip.answer(setup, x, y)                      what a cut at one place would do
 *   OnionskinGrip.worst(setup, [[x, y], ...])              the weakest of several places
 *   OnionskinGrip.map(setup, x0, y0, x1, y1, columns, rows) margins, row by row, Float64Array
 * A number that is not finite gives a margin of NaN, to be shown as "no answer".
 */
(function () {
  "use strict";

  var START_DIRECTIONS = 8;
  var MOST_ARCS = 200;
  var MOST_STEPS = 60;
  var STEEPEST = Math.PI / 2 - 1e-6;
  var TOLERANCE = 4e-3;
  var AS_GOOD_AS_SLIDING = 1.01;

  function prepare(setup) {
    var pads = setup.pads, stops = setup.stops || [], places = pads.concat(stops);
    var friction = setup.friction * setup.lift;
    return {
      count: pads.length,
      x: column(pads, "x"), y: column(pads, "y"), limit: column(pads, "limit"), hold: column(pads, "hold"),
      stops: stops,
      size: Math.max(span(column(places, "x")), span(column(places, "y"))) || 1,
      force: setup.sideways + friction, lost: friction, lift: setup.lift,
      corners: setup.corners, edges: edges(setup),
      total: setup.pads.reduce(function (sum, pad) { return sum + pad.hold; }, setup.weight),
      finite: finite(setup, places)
    };
  }

  function column(rows, name) {
    return Float64Array.from(rows, function (row) { return row[name]; });
  }

  function span(values) {
    return values.length ? Math.max.apply(null, values) - Math.min.apply(null, values) : 0;
  }

  function finite(setup, places) {
    var numbers = [setup.sideways, setup.lift, setup.friction, setup.weight, setup.height];
    places.forEach(function (row) { Object.keys(row).forEach(function (name) { numbers.push(row[name]); }); });
    setup.corners.forEach(function (corner) { numbers.push(corner[0], corner[1]); });
    return setup.sideways > 0 && numbers.every(function (value) { return Number.isFinite(value); });
  }

  /* Each edge of the board: inward normal, offset, the moment that keeps the board down, the moment of the height. */
  function edges(setup) {
    var corners = setup.corners, middle = centroid(corners);
    return corners.map(function (a, i) {
      var b = corners[(i + 1) % corners.length], length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      var nx = -(b[1] - a[1]) / length, ny = (b[0] - a[0]) / length, offset = nx * a[0] + ny * a[1];
      var stands = setup.weight * (nx * middle[0] + ny * middle[1] - offset);
      setup.pads.forEach(function (pad) { stands += pad.hold * (nx * pad.x + ny * pad.y - offset); });
      return { nx: nx, ny: ny, offset: offset, stands: Math.max(stands, 0), upset: setup.sideways * setup.height };
    });
  }

  function centroid(corners) {
    var sum = 0, x = 0, y = 0, o = corners[0];
    corners.forEach(function (a, i) {
      var b = corners[(i + 1) % corners.length];
      var cross = (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
      sum += cross; x += cross * (a[0] + b[0] + o[0]) / 3; y += cross * (a[1] + b[1] + o[1]) / 3;
    });
    return sum ? [x / sum, y / sum] : o;
  }

  /* Held force and moment about q against a motion: set in `at` to spare the garbage collector. */
  var at = { fx: 0, fy: 0, moment: 0 };

  function held(c, qx, qy, vx, vy, spin) {
    var fx = 0, fy = 0, moment = 0;
    for (var i = 0; i < c.count; i++) {
      var x = c.x[i] - qx, y = c.y[i] - qy, ux = vx - spin * y, uy = vy + spin * x;
      var square = ux * ux + uy * uy;
      if (square > 0) {
        var share = c.limit[i] / Math.sqrt(square);
        ux *= share; uy *= share;
        fx += ux; fy += uy;
        moment += x * uy - y * ux;
      }
    }
    at.fx = fx; at.fy = fy; at.moment = moment;
    for (var k = 0; k < c.stops.length; k++) addStop(c.stops[k], qx, qy, vx, vy, spin);
  }

  function addStop(s, qx, qy, vx, vy, spin) {
    var x = s.x - qx, y = s.y - qy, ux = vx - spin * y, uy = vy + spin * x;
    var along = -s.blocksY * ux + s.blocksX * uy, side = Math.sign(along) * s.rub;
    if (s.blocksX * ux + s.blocksY * uy + side * along <= 0) return;
    var fx = s.capacity * (s.blocksX - side * s.blocksY), fy = s.capacity * (s.blocksY + side * s.blocksX);
    at.fx += fx; at.fy += fy; at.moment += x * fy - y * fx;
  }

  /* The edge in direction n with one sense of spin: held force, cap, and the upper bound with its spin. */
  var edge = { fx: 0, fy: 0, cap: 0, upper: 0, spin: 0 };

  function findEdge(c, qx, qy, couple, nx, ny, sense, tol) {
    held(c, qx, qy, 0, 0, sense);
    var hiFx = at.fx, hiFy = at.fy, hiM = at.moment * sense, hi = STEEPEST;
    var hiBal = c.force * hiM - couple * (hiFx * nx + hiFy * ny);
    var loFx = 0, loFy = 0, loM = 0, lo = 0, loBal = -Infinity, angle = 0, share = 1;
    edge.upper = Infinity;
    for (var step = 0; step < MOST_STEPS; step++) {
      var spin = sense * Math.tan(angle) / c.size;
      held(c, qx, qy, nx, ny, spin);
      var along = at.fx * nx + at.fy * ny;
      var upper = (along + at.moment * spin) / (c.force + couple * Math.abs(spin));
      if (upper < edge.upper) {
        edge.upper = upper; edge.spin = spin;
      }
      var m = at.moment * sense, balance = c.force * m - couple * along;
      if (balance < 0) {
        lo = angle; loFx = at.fx; loFy = at.fy; loM = m; loBal = balance;
      } else {
        hi = angle; hiFx = at.fx; hiFy = at.fy; hiM = m; hiBal = balance;
      }
      share = loBal === -Infinity ? 1 : Math.min(Math.max(-loBal / Math.max(hiBal - loBal, 1e-300), 0), 1);
      edge.fx = loFx * (1 - share) + hiFx * share;
      edge.fy = loFy * (1 - share) + hiFy * share;
      edge.cap = couple > 0 ? (loM * (1 - share) + hiM * share) / couple : Infinity;
      var sure = Math.min((edge.fx * nx + edge.fy * ny) / c.force, edge.cap);
      // a direction already surely stronger than the weakest one known need not be worked out
      if (sure >= edge.upper * (1 - tol) || sure >= best.upper) return;
      angle = lo + (hi - lo) * (step % 3 === 2 ? 0.5 : Math.min(Math.max(share, 0.02), 0.98));
    }
  }

  /* Arcs of directions, kept in one table that is filled afresh for every place. */
  var arcs = new Float64Array(MOST_ARCS * 10);
  var AX = 0, AY = 1, BX = 2, BY = 3, FAX = 4, FAY = 5, FBX = 6, FBY = 7, CAP_A = 8, CAP_B = 9;
  var best = { lower: 0, upper: 0, nx: 0, ny: 0, spin: 0 };

  function note(nx, ny) {
    if (edge.upper < best.upper) {
      best.upper = edge.upper; best.nx = nx; best.ny = ny; best.spin = edge.spin;
    }
  }

  /* `hint`: whether `best` still holds the answer for another place, (dx, dy) back from here. */
  function planar(c, qx, qy, tol, hint, dx, dy) {
    var couple = c.lost * farthest(c.corners, qx, qy);
    best.lower = best.upper = Infinity;
    if (hint) sameMotion(c, qx, qy, couple, dx, dy);
    side(c, qx, qy, couple, 1, tol);
    if (c.stops.length) side(c, qx, qy, couple, -1, tol);
    best.lower = Math.max(0, best.lower);
  }

  /* The motion that was worst at a neighbour bounds this place too, which settles most directions at a glance. */
  function sameMotion(c, qx, qy, couple, dx, dy) {
    var vx = best.nx - best.spin * dy, vy = best.ny + best.spin * dx, speed = Math.hypot(vx, vy);
    if (speed < 1e-9 * (1 + Math.abs(best.spin))) return;
    best.nx = vx / speed; best.ny = vy / speed; best.spin /= speed;
    held(c, qx, qy, best.nx, best.ny, best.spin);
    var taken = at.fx * best.nx + at.fy * best.ny + at.moment * best.spin;
    best.upper = taken / (c.force + couple * Math.abs(best.spin));
  }

  function farthest(corners, x, y) {
    var most = 0;
    for (var i = 0; i < corners.length; i++) {
      var dx = corners[i][0] - x, dy = corners[i][1] - y;
      most = Math.max(most, dx * dx + dy * dy);
    }
    return Math.sqrt(most);
  }

  function side(c, qx, qy, couple, sense, tol) {
    var count = START_DIRECTIONS;
    for (var k = 0; k < count; k++) {
      var angle = 0.1 + 2 * Math.PI * k / count, nx = Math.cos(angle), ny = Math.sin(angle);
      findEdge(c, qx, qy, couple, nx, ny, sense, tol / 4);
      note(nx, ny);
      setEnd(k, AX, nx, ny);
      setEnd((k + count - 1) % count, BX, nx, ny);
    }
    for (var i = 0; i < count; i++) {
      var bound = boundOf(i, c.force);
      while (middle.splits && bound < best.upper * (1 - tol) && best.upper > 1e-9 && count < MOST_ARCS) {
        count = splitArc(c, qx, qy, couple, sense, tol, i, count);
        bound = boundOf(i, c.force);
      }
      best.lower = Math.min(best.lower, bound);
    }
  }

  /* Write direction, force and cap of the edge just found as end A or end B of an arc. */
  function setEnd(i, end, nx, ny) {
    var row = 10 * i, force = end === AX ? FAX : FBX;
    arcs[row + end] = nx; arcs[row + end + 1] = ny;
    arcs[row + force] = edge.fx; arcs[row + force + 1] = edge.fy;
    arcs[row + (end === AX ? CAP_A : CAP_B)] = edge.cap;
  }

  /* Arc i keeps its first half; the second half becomes a new arc at the end of the table. */
  function splitArc(c, qx, qy, couple, sense, tol, i, count) {
    var nx = middle.nx, ny = middle.ny;
    findEdge(c, qx, qy, couple, nx, ny, sense, tol / 4);
    note(nx, ny);
    arcs.copyWithin(10 * count, 10 * i, 10 * i + 10);
    setEnd(count, AX, nx, ny);
    setEnd(i, BX, nx, ny);
    return count + 1;
  }

  var middle = { nx: 0, ny: 0, splits: false };

  function boundOf(i, force) {
    var r = 10 * i, ax = arcs[r + AX], ay = arcs[r + AY], bx = arcs[r + BX], by = arcs[r + BY];
    var ends = Math.min(larger(r, ax, ay), larger(r, bx, by));
    var nx = arcs[r + FBY] - arcs[r + FAY], ny = arcs[r + FAX] - arcs[r + FBX], length = Math.hypot(nx, ny);
    if (nx * (ax + bx) + ny * (ay + by) < 0) length = -length;
    nx /= length; ny /= length;
    var caps = Math.min(arcs[r + CAP_A], arcs[r + CAP_B]), least = ends;
    middle.splits = false;
    if (length && ax * ny - ay * nx > 0 && nx * by - ny * bx > 0) {
      var chord = larger(r, nx, ny);
      least = Math.min(ends, chord);
      middle.splits = chord <= ends && chord / force <= caps;
      middle.nx = nx; middle.ny = ny;
    }
    return Math.min(least / force, caps);
  }

  function larger(r, nx, ny) {
    return Math.max(arcs[r + FAX] * nx + arcs[r + FAY] * ny, arcs[r + FBX] * nx + arcs[r + FBY] * ny);
  }

  /* Margins against lifting off and against tipping over an edge. */
  function upward(c, x, y) {
    var lifting = c.lift > 0 ? c.total / c.lift : Infinity, tipping = Infinity;
    for (var i = 0; i < c.edges.length; i++) {
      var e = c.edges[i], upset = c.lift * (e.nx * x + e.ny * y - e.offset) + e.upset;
      if (upset > 0) tipping = Math.min(tipping, e.stands / upset);
    }
    return { lifting: lifting, tipping: tipping };
  }

  function answer(setup, x, y) {
    return answerFor(prepare(setup), x, y, TOLERANCE / 4);
  }

  function answerFor(c, x, y, tol) {
    if (!c.finite || !Number.isFinite(x) || !Number.isFinite(y)) return { margin: NaN, rules: "no answer", x: x, y: y };
    planar(c, x, y, tol, false);
    var up = upward(c, x, y), found = { x: x, y: y, lower: best.lower, upper: best.upper };
    found.direction = [best.nx, best.ny];
    found.pivot = null;
    found.rules = "sliding";
    if (best.spin && slide(c, x, y) > AS_GOOD_AS_SLIDING * best.upper) {
      found.rules = "turning";
      found.pivot = [x - best.ny / best.spin, y + best.nx / best.spin];
    }
    found.margin = Math.min(best.lower, up.lifting, up.tipping);
    if (found.margin < best.lower) {
      found.rules = up.lifting <= up.tipping * (1 + 1e-9) ? "lift" : "tipping";
      found.pivot = null;
    }
    return found;
  }

  function slide(c, x, y) {
    held(c, x, y, best.nx, best.ny, 0);
    return (at.fx * best.nx + at.fy * best.ny) / c.force;
  }

  function worst(setup, points) {
    var c = prepare(setup), least = null;
    points.forEach(function (point) {
      var found = answerFor(c, point[0], point[1], TOLERANCE / 4);
      if (!least || !(found.margin >= least.margin)) least = found;
    });
    return least;
  }

  function map(setup, x0, y0, x1, y1, columns, rows) {
    var c = prepare(setup), margins = new Float64Array(columns * rows);
    if (!c.finite) return margins.fill(NaN);
    var dx = (x1 - x0) / (columns - 1), dy = (y1 - y0) / (rows - 1);
    for (var r = 0; r < rows; r++) {
      for (var k = 0; k < columns; k++) {
        var x = x0 + dx * k, y = y0 + dy * r, up = upward(c, x, y);
        planar(c, x, y, TOLERANCE, k > 0, dx, 0);
        margins[r * columns + k] = Math.min(best.lower, up.lifting, up.tipping);
      }
    }
    return margins;
  }

  window.OnionskinGrip = Object.freeze({ answer: answer, worst: worst, map: map });
})();
