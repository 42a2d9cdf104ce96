/* Places for the clamp bench: on closed lines (nearest point, walking along, length) and among the places that a bed
 * allows, each { foot: [x, y], bolt: [x, y] }. Points are [x, y] in mm. */
(function () {
  "use strict";

  function sides(line) {
    return line.map(function (a, k) { return [a, line[(k + 1) % line.length]]; });
  }

  function nearestOnSide(a, b, p) {
    var dx = b[0] - a[0], dy = b[1] - a[1], square = dx * dx + dy * dy;
    var share = square ? Math.min(Math.max(((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square, 0), 1) : 0;
    var at = [a[0] + share * dx, a[1] + share * dy];
    return { at: at, off: Math.hypot(p[0] - at[0], p[1] - at[1]) };
  }

  function nearest(line, p) {
    var best = null;
    sides(line).forEach(function (side) {
      var found = nearestOnSide(side[0], side[1], p);
      if (!best || found.off < best.off) best = found;
    });
    return best;
  }

  /* From an upright box [x low, y low, x high, y high] to a path, 0 where they meet. As outline.py's box_to_path. */
  function boxOff(box, path) {
    var corners = [[box[0], box[1]], [box[2], box[1]], [box[2], box[3]], [box[0], box[3]]];
    return path.reduce(function (least, a, k) {
      var b = path[Math.min(k + 1, path.length - 1)];
      if (meets(box, a, b)) return 0;
      var off = Math.hypot(Math.max(box[0] - a[0], a[0] - box[2], 0), Math.max(box[1] - a[1], a[1] - box[3], 0));
      return corners.reduce(function (near, corner) { return Math.min(near, nearestOnSide(a, b, corner).off); }, Math.min(least, off));
    }, Infinity);
  }

  function meets(box, a, b) {
    var enters = 0, leaves = 1;
    [0, 1].forEach(function (k) {
      var along = b[k] - a[k] || 1e-12, first = (box[k] - a[k]) / along, second = (box[k + 2] - a[k]) / along;
      enters = Math.max(enters, Math.min(first, second));
      leaves = Math.min(leaves, Math.max(first, second));
    });
    return enters <= leaves;
  }

  /* The box over which a clamp lies whose foot stands at `p`: in from the nearest edge. As spots.py's ClampShape.body. */
  function body(p, half, nose, board) {
    var x = p[0], y = p[1], sides = [x - board[0], board[2] - x, y - board[1], board[3] - y];
    switch (sides.indexOf(Math.min.apply(null, sides))) {
    case 0: return [Math.min(board[0], x - nose), y - half, x + nose, y + half];
    case 1: return [x - nose, y - half, Math.max(board[2], x + nose), y + half];
    case 2: return [x - half, Math.min(board[1], y - nose), x + half, y + nose];
    default: return [x - half, y - nose, x + half, Math.max(board[3], y + nose)];
    }
  }

  function square(p, half) { return [p[0] - half, p[1] - half, p[0] + half, p[1] + half]; }

  function length(line) {
    return sides(line).reduce(function (sum, s) { return sum + Math.hypot(s[1][0] - s[0][0], s[1][1] - s[0][1]); }, 0);
  }

  /* How far round the line its place nearest to `p` lies. */
  function gone(line, p) {
    var before = 0, best = null;
    sides(line).forEach(function (s) {
      var found = nearestOnSide(s[0], s[1], p);
      if (!best || found.off < best.off) best = { off: found.off, gone: before + Math.hypot(found.at[0] - s[0][0], found.at[1] - s[0][1]) };
      before += Math.hypot(s[1][0] - s[0][0], s[1][1] - s[0][1]);
    });
    return best.gone;
  }

  /* The place `distance` further round the line than `from`; backwards where it is negative. */
  function walked(line, from, distance) {
    var whole = length(line), left = (((gone(line, from) + distance) % whole) + whole) % whole;
    var all = sides(line);
    for (var k = 0; k < all.length; k++) {
      var a = all[k][0], b = all[k][1], long = Math.hypot(b[0] - a[0], b[1] - a[1]);
      if (left <= long && long > 0) return [a[0] + (b[0] - a[0]) * left / long, a[1] + (b[1] - a[1]) * left / long];
      left -= long;
    }
    return line[0];
  }

  function away(p, q) { return Math.hypot(p[0] - q[0], p[1] - q[1]); }

  /* The allowed places at which no other foot is nearer than `apart`. */
  function free(allowed, others, apart) {
    return allowed.filter(function (one) { return others.every(function (p) { return away(one.foot, p) >= apart; }); });
  }

  function least(allowed, cost) {
    return allowed.reduce(function (best, one) { return best && cost(best) <= cost(one) ? best : one; }, null);
  }

  /* The allowed place nearest to a point, null where there is none. */
  function closest(allowed, p) { return least(allowed, function (one) { return away(one.foot, p); }); }

  /* The next allowed place from a point in a direction: the way to the side counts double. */
  function stepped(allowed, from, way) {
    function ahead(one) { return (one.foot[0] - from[0]) * way[0] + (one.foot[1] - from[1]) * way[1]; }
    function aside(one) { return Math.abs((one.foot[0] - from[0]) * way[1] - (one.foot[1] - from[1]) * way[0]); }
    var further = allowed.filter(function (one) { return ahead(one) > 1; });
    return least(further, function (one) { return ahead(one) + 2 * aside(one); });
  }

  /* The allowed place farthest from all others. */
  function roomiest(allowed, others) {
    return least(allowed, function (one) {
      return -others.reduce(function (near, p) { return Math.min(near, away(one.foot, p)); }, Infinity);
    });
  }

  window.OnionskinPlaces = Object.freeze({ nearest: nearest, boxOff: boxOff, body: body, square: square, length: length, walked: walked, free: free, closest: closest,
    stepped: stepped, roomiest: roomiest });
})();
