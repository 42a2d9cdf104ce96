/* Draws a figure for values in hand: the same SVG text as generator/figures/draw.py and marks.py,
   character for character, and a test holds them equal. window.OnionskinDrawings holds the trees. */
(function () {
  "use strict";
  var X = window.OnionskinX;
  var NUMBER_LIMIT = 100000;
  var HEAD = 8, HEAD_HALF = 3, TICK = 4, TAIL = 14, SHORT = 22, LINE_HEIGHT = 14, HATCH_LIMIT = 300;
  var SIZES = ["width", "height", "r", "rx", "ry"];
  var BESIDE = {
    above: [0, -7, "middle"], below: [0, 16, "middle"], left: [-8, 4, "end"], right: [8, 4, "start"]
  };
  var ESCAPES = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#x27;" };

  function f2(v) { return X.fixed(v, 2); }
  function escape(text) { return text.replace(/[&<>"']/g, function (c) { return ESCAPES[c]; }); }
  function value(v, scope) { return typeof v === "function" ? v(scope) : v; }
  function say(text, scope) { return escape(value(text, scope)); }
  /* A label has no room for a sentence: what is not known is a question mark. */
  function label(text, scope) { return escape(value(text, scope).split("not known yet").join("?")); }
  function number(v, scope) {
    var found = value(v, scope);
    return typeof found === "number" ? found : NaN;
  }
  function numbers(list, scope) { return list.map(function (v) { return number(v, scope); }); }
  function drawable(list) { return list.every(function (v) { return Math.abs(v) <= NUMBER_LIMIT; }); }
  function times(shape, scope) {
    var count = number(shape.count, scope);
    return isNaN(count) ? 0 : Math.max(0, Math.min(shape.most, Math.floor(count + 1e-9)));
  }
  function within(scope, name, v) {
    var inner = Object.assign({}, scope);
    inner[name] = v;
    return inner;
  }

  function element(tag, look, attributes) {
    var words = Object.keys(attributes).map(function (name) { return " " + name + '="' + attributes[name] + '"'; });
    return "<" + tag + ' class="' + look + '"' + words.join("") + "/>";
  }
  function polyline(points, look, closed) {
    var words = points.map(function (p) { return f2(p[0]) + "," + f2(p[1]); });
    return element(closed ? "polygon" : "polyline", look, { points: words.join(" ") });
  }
  function lines(segments, look) {
    var words = segments.map(function (s) {
      return "M " + f2(s[0][0]) + " " + f2(s[0][1]) + " L " + f2(s[1][0]) + " " + f2(s[1][1]);
    });
    return element("path", look, { d: words.join(" ") });
  }
  function head(tip, ux, uy, size, look) {
    var x = tip[0] - size * ux, y = tip[1] - size * uy, half = size * HEAD_HALF / HEAD;
    return polyline([tip, [x - half * uy, y + half * ux], [x + half * uy, y - half * ux]], look + " f-head", true);
  }
  function shaft(start, tip, ux, uy, size, look) {
    var end = [tip[0] - 0.8 * size * ux, tip[1] - 0.8 * size * uy];
    return lines([[start, end]], look) + head(tip, ux, uy, size, look);
  }
  function inside(start, end, ux, uy, look) {
    return lines([[start, end]], look) + head(end, ux, uy, HEAD, look) + head(start, -ux, -uy, HEAD, look);
  }
  function outside(start, end, ux, uy, look) {
    var before = [start[0] - TAIL * ux, start[1] - TAIL * uy], after = [end[0] + TAIL * ux, end[1] + TAIL * uy];
    return shaft(before, start, ux, uy, HEAD, look) + shaft(after, end, -ux, -uy, HEAD, look);
  }
  function direction(n) {
    var dx = n.x2 - n.x1, dy = n.y2 - n.y1, length = Math.sqrt(dx * dx + dy * dy);
    return { length: length, ux: dx / length, uy: dy / length, start: [n.x1, n.y1], end: [n.x2, n.y2] };
  }
  function hatchLine(c, width, height, lean) {
    if (lean === "level") return [[0, c], [width, c]];
    var start = [Math.min(c, width), Math.max(0, c - width)], end = [Math.max(0, c - height), Math.min(c, height)];
    return lean === "right" ? [start, end] : [[width - start[0], start[1]], [width - end[0], end[1]]];
  }

  function plain(tag) {
    return function (n, look) {
      var attributes = {};
      Object.keys(n).forEach(function (name) { attributes[name] = f2(n[name]); });
      return element(tag, look, attributes);
    };
  }
  var MARKS = {
    rect: plain("rect"), line: plain("line"), circle: plain("circle"), ellipse: plain("ellipse"),
    text: function (n, look, anchor, words) {
      var x = f2(n.x), rows = words.split("\n"), first = rows.shift();
      var more = rows.map(function (row) { return '<tspan x="' + x + '" dy="' + f2(LINE_HEIGHT) + '">' + row + "</tspan>"; });
      return '<text class="' + look + '" x="' + x + '" y="' + f2(n.y) + '" text-anchor="' + anchor + '">' +
        first + more.join("") + "</text>";
    },
    arrow: function (n, look) {
      var d = direction(n);
      return d.length < 1e-6 ? "" : shaft(d.start, d.end, d.ux, d.uy, Math.min(HEAD, d.length), look);
    },
    dim: function (n, look, at, words) {
      var d = direction(n);
      if (d.length < 1e-6) return "";
      var ticks = [d.start, d.end].map(function (p) {
        return [[p[0] - TICK * d.uy, p[1] + TICK * d.ux], [p[0] + TICK * d.uy, p[1] - TICK * d.ux]];
      });
      var arrows = (d.length < SHORT ? outside : inside)(d.start, d.end, d.ux, d.uy, look);
      var beside = BESIDE[at];
      var middle = { x: (n.x1 + n.x2) / 2 + beside[0], y: (n.y1 + n.y2) / 2 + beside[1] };
      return lines(ticks, look) + arrows + (words ? MARKS.text(middle, "f-label", beside[2], words) : "");
    },
    turn: function (n, look) {
      var a = n.from * Math.PI / 180, b = n.to * Math.PI / 180, way = b > a ? 1 : -1;
      var start = [n.cx + n.r * Math.cos(a), n.cy + n.r * Math.sin(a)];
      var end = [n.cx + n.r * Math.cos(b), n.cy + n.r * Math.sin(b)];
      var ux = -way * Math.sin(b), uy = way * Math.cos(b);
      var arc = ["M", f2(start[0]), f2(start[1]), "A", f2(n.r), f2(n.r), "0", Math.abs(b - a) > Math.PI ? "1" : "0",
        way > 0 ? "1" : "0", f2(end[0]), f2(end[1])];
      var tip = [end[0] + 0.8 * HEAD * ux, end[1] + 0.8 * HEAD * uy];
      return element("path", look, { d: arc.join(" ") }) + head(tip, ux, uy, HEAD, look);
    },
    hatch: function (n, look, lean) {
      var gap = Math.max(n.gap, 2), reach = lean === "level" ? n.height : n.width + n.height;
      var count = Math.min(HATCH_LIMIT, Math.ceil(reach / gap) - 1), segments = [];
      for (var i = 1; i <= count; i += 1) {
        segments.push(hatchLine(i * gap, n.width, n.height, lean).map(function (p) { return [n.x + p[0], n.y + p[1]]; }));
      }
      return segments.length ? lines(segments, look) : "";
    }
  };

  function mark(shape, scope) {
    var n = {}, names = Object.keys(shape.numbers);
    names.forEach(function (name) { n[name] = number(shape.numbers[name], scope); });
    if (!drawable(names.map(function (name) { return n[name]; }))) return "";
    if (SIZES.some(function (name) { return n[name] < 0; })) return "";
    return MARKS[shape.kind](n, shape.look, shape.word || "", shape.say ? label(shape.say, scope) : "");
  }

  function command(letter, list) {
    var texts = list.map(f2);
    if (letter === "A") {
      texts = [texts[0], texts[1], "0", list[2] > 0.5 ? "1" : "0", list[3] > 0.5 ? "1" : "0", texts[4], texts[5]];
    }
    return [letter].concat(texts).join(" ");
  }

  function run(item, scope) {
    if (Array.isArray(item)) return [numbers(item, scope)];
    var points = [], count = times(item, scope);
    for (var i = 0; i < count; i += 1) points.push(numbers(item.point, within(scope, item.name, i)));
    return points;
  }

  var TREES = {
    path: function (shape, scope) {
      var lists = shape.commands.map(function (item) { return numbers(item[1], scope); });
      if (!lists.every(drawable)) return "";
      var words = shape.commands.map(function (item, i) { return command(item[0], lists[i]); });
      return element("path", shape.look, { d: words.join(" ") });
    },
    points: function (shape, scope) {
      var points = [];
      shape.points.forEach(function (item) { points = points.concat(run(item, scope)); });
      return points.length < 2 || !points.every(drawable) ? "" : polyline(points, shape.look, shape.closed);
    },
    group: function (shape, scope) {
      var at = numbers(shape.at, scope);
      if (!drawable(at)) return "";
      return '<g transform="translate(' + f2(at[0]) + " " + f2(at[1]) + ") rotate(" + f2(at[2]) + ')">' +
        all(shape.shapes, scope) + "</g>";
    },
    repeat: function (shape, scope) {
      var text = "", count = times(shape, scope);
      for (var i = 0; i < count; i += 1) text += all(shape.shapes, within(scope, shape.name, i));
      return text;
    },
    when: function (shape, scope) { return value(shape.when, scope) === true ? all(shape.shapes, scope) : ""; },
    bind: function (shape, scope) { return all(shape.shapes, within(scope, shape.name, value(shape.value, scope))); },
    use: function (shape, scope) {
      var inner = {};
      Object.keys(shape.values).forEach(function (name) { inner[name] = value(shape.values[name], scope); });
      return all(window.OnionskinDrawings.parts[shape.part], inner);
    }
  };

  function all(shapes, scope) {
    return shapes.map(function (shape) { return (TREES[shape.kind] || mark)(shape, scope); }).join("");
  }

  /* The SVG text of figure `id`; names missing from `scope` count as unknown. */
  function draw(id, scope) {
    var figure = window.OnionskinDrawings.figures[id];
    var known = Object.assign({}, scope);
    figure.names.forEach(function (name) { if (!(name in known)) known[name] = null; });
    return '<svg class="onionskin-figure" data-figure="' + id + '" role="img" aria-label="' + say(figure.alt, known) +
      '" viewBox="0 0 ' + X.fixed(figure.width, 0) + " " + X.fixed(figure.height, 0) + '"><title>' +
      escape(figure.title) + "</title>" + all(figure.shapes, known) + "</svg>";
  }

  window.OnionskinFigures = { draw: draw };
})();
