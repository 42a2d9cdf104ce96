/* The clamp bench: clamps round this job's board, or tabs round its part, moved by hand or by key; margin, pivot and map
 * follow at once. All numbers come from the page's data and from grip.js. */
(function () {
  "use strict";
  var X = window.OnionskinX, grip = window.OnionskinGrip, maps = window.OnionskinBenchMap, marks = window.OnionskinBenchMarks;
  var places = window.OnionskinPlaces;
  var STEP = 5, FINE = 1, INSET = 2, RIM_TRIES = 60, REST = 160;
  // milliseconds that a drawing may take while something moves, and the share of the full map it may fall to
  var BUDGET = 12, COARSEST = 0.3, FINER = 1.15;
  var NUDGES = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

  function begin(root) {
    var data = JSON.parse(root.dataset.bench), svg = root.querySelector("svg"), box = svg.viewBox.baseVal;
    var state = { view: "board", pads: [], chosen: 0, areas: true, force: null, held: false };
    var exercises = window.OnionskinExercises(root, data, state, {
      restart: restart, areas: setAreas, marginAt: function (x, y) { return grip.answer(setup(), x, y).margin; }
    });
    var frame = 0, rest = 0, share = 0.6, grip0 = [0, 0], last = null, drawn = new WeakMap();

    function part(name) { return root.querySelector("[data-bench-" + name + "]"); }
    function layer(name) { return svg.querySelector('[data-layer="' + name + '"]'); }
    function place(x, y) { return [(x - data.x0) * data.scale, (data.y1 - y) * data.scale]; }
    function view() { return data.view[state.view]; }
    function what() { return view().kind; }

    function setup() {
      var spec = view(), others = spec.others.concat(state.areas ? spec.areas : []), change = { pads: others.concat(state.pads.map(bare)) };
      if (state.force !== null) Object.assign(change, { sideways: state.force, lift: 0 });
      return Object.assign({}, spec.case, change);
    }

    function bare(pad) { return { x: pad.x, y: pad.y, limit: pad.limit, hold: pad.hold }; }

    /* What it takes up: its own box where the job has it, else that of one like it in its place. */
    function bodyOf(pad) {
      var spec = view();
      if (pad.box) return pad.box;
      return spec.kind === "clamp" ? places.body([pad.x, pad.y], spec.half, spec.nose, data.board) : places.square([pad.x, pad.y], spec.half);
    }

    /* Room that is missing between it and the cutter's path: with all that is wanted, or without the spare. */
    function short(pad, spare) {
      var want = ("clear" in pad ? pad.clear : view().clear) - (spare ? 0 : view().spare), box = bodyOf(pad);
      return view().paths.some(function (path) { return places.boxOff(box, path) < want; });
    }

    function inTheWay(pad) { return short(pad, false); }
    function tight(pad) { return short(pad, true) && !inTheWay(pad); }

    function mapOf(now, share) {
      var b = data.board, columns = Math.round(data.columns * share), rows = Math.round(data.rows * share);
      var margins = grip.map(now, b[0], b[1], b[2], b[3], columns, rows);
      return { columns: columns, rows: rows, x0: b[0], y0: b[1], x1: b[2], y1: b[3], margins: margins };
    }

    /* While something moves the map is as fine as this computer can keep up with. */
    function draw() {
      var began = performance.now();
      frame = 0;
      window.clearTimeout(rest);
      rest = window.setTimeout(settle, REST);
      drawMap(share);
      var could = share * Math.sqrt(BUDGET / Math.max(performance.now() - began, 1));
      share = Math.min(Math.max(could, COARSEST), share * FINER, 1);
    }

    /* At rest the verdict is read out; let go, the map is drawn in full. */
    function settle() {
      if (!state.held) drawMap(1);
      part("said").textContent = part("margin").textContent + ". " + part("verdict").textContent;
    }

    function drawMap(fineness) {
      var now = setup(), map = mapOf(now, fineness);
      last = grip.worst(now, view().ring);
      layer("map").innerHTML = maps.areas(map, data.levels, place) + waste();
      layer("lines").innerHTML = maps.lines(map, data.levels, data.needed, place);
      layer("worst").innerHTML = marks.worst(last, place, [box.width, box.height]);
      drawPads();
      say();
    }

    /* In the part's view the rest of the board is waste: it is drawn as plain wood over the map. */
    function waste() {
      if (state.view !== "part") return "";
      return '<path class="b-waste" fill-rule="evenodd" d="' + [boardRim(0), view().outline].map(way).join("") + '"/>';
    }

    function boardRim(inset) {
      var x0 = data.board[0] + inset, y0 = data.board[1] + inset, x1 = data.board[2] - inset, y1 = data.board[3] - inset;
      return [[x0, y0], [x1, y0], [x1, y1], [x0, y1]];
    }

    function way(points) {
      return "M" + points.map(function (p) { return place(p[0], p[1]).map(function (v) { return X.fixed(v, 1); }).join(" "); }).join("L") + "Z";
    }

    /* Elements stay as they are while one is held or has the focus; only their inside is drawn anew. */
    function drawPads() {
      var home = layer("clamps");
      while (home.children.length > state.pads.length) home.lastChild.remove();
      while (home.children.length < state.pads.length) home.append(grasp(home.children.length));
      state.pads.forEach(function (pad, number) {
        var g = home.children[number], stands = inTheWay(pad);
        fill(g, what() !== "clamp" ? marks.tab(pad, number + 1, place)
          : marks.clamp(pad, number + 1, view(), data.board, place, data.scale));
        g.setAttribute("class", "b-hold" + (number === state.chosen ? " b-chosen" : "") + (stands ? " b-hit" : ""));
        g.setAttribute("aria-label", what() + " " + (number + 1) + " at " + at(pad) + (stands ? ", in the cutter's way" : "") + "; arrow keys move it");
      });
    }

    /* The drawing changes, but the line that a finger holds stays the same element, or the browser would let go. */
    function fill(g, mark) {
      if (drawn.get(g) === mark.drawing) return;
      drawn.set(g, mark.drawing);
      g.firstChild.innerHTML = mark.drawing;
      g.lastChild.setAttribute("d", mark.way);
    }

    function shape(name) { return document.createElementNS("http://www.w3.org/2000/svg", name); }

    function grasp(number) {
      var g = shape("g"), held = shape("path");
      held.setAttribute("class", "b-touch");
      g.append(shape("g"), held);
      g.setAttribute("tabindex", "0");
      g.setAttribute("role", "button");
      g.addEventListener("pointerdown", function (event) {
        var pad = state.pads[number], p = pointed(event);
        state.chosen = number;
        state.held = true;
        grip0 = [pad.x - p[0], pad.y - p[1]];
        g.setPointerCapture(event.pointerId);
        g.focus({ preventScroll: true });
        event.preventDefault();
        draw();
      });
      // the style's touch-action does not reach every browser's groups; this keeps the page from scrolling away
      g.addEventListener("touchstart", function (event) { event.preventDefault(); }, { passive: false });
      g.addEventListener("pointermove", function (event) {
        var p = pointed(event);
        if (g.hasPointerCapture(event.pointerId)) move(number, [p[0] + grip0[0], p[1] + grip0[1]]);
      });
      g.addEventListener("lostpointercapture", function () {
        state.held = false;
        later();
      });
      g.addEventListener("keydown", function (event) { key(event, number); });
      g.addEventListener("focus", function () { choose(number); });
      return g;
    }

    function choose(number) {
      if (state.chosen === number) return;
      state.chosen = number;
      drawPads();
    }

    function pointed(event) {
      var p = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
      return [p.x / data.scale + data.x0, data.y1 - p.y / data.scale];
    }

    function key(event, number) {
      var way = NUDGES[event.key];
      if (event.key === "Delete" || event.key === "Backspace") remove(number);
      else if (way) nudge(number, way, event.shiftKey ? FINE : STEP);
      else return;
      event.preventDefault();
    }

    function nudge(number, way, step) {
      var pad = state.pads[number];
      if (!pad) return;
      if (state.view === "part") along(number, way, step);
      else if (view().places.length) stand(number, places.stepped(freePlaces(number), [pad.x, pad.y], way));
      else move(number, [pad.x + way[0] * step, pad.y + way[1] * step]);
    }

    /* A tab can only stand on the outline, so a key moves it to the next place there that lies in its direction. */
    function along(number, way, step) {
      var pad = state.pads[number];
      var tries = [step, -step].map(function (distance) { return places.walked(view().outline, [pad.x, pad.y], distance); });
      tries.sort(function (a, b) { return dot(b, pad, way) - dot(a, pad, way); });
      if (dot(tries[0], pad, way) > 1e-6) move(number, tries[0]);
    }

    function dot(point, pad, way) { return (point[0] - pad.x) * way[0] + (point[1] - pad.y) * way[1]; }

    /* Tabs stay on the outline; clamps go to a place the bed allows, or where no such place is known, anywhere. */
    function move(number, point) {
      if (state.view === "part") stand(number, { foot: places.nearest(view().outline, point).at });
      else if (view().places.length) stand(number, places.closest(freePlaces(number), point));
      else stand(number, { foot: onBoard(point) });
    }

    function onBoard(point) {
      var b = data.board;
      return [Math.min(Math.max(point[0], b[0] + INSET), b[2] - INSET), Math.min(Math.max(point[1], b[1] + INSET), b[3] - INSET)];
    }

    function stand(number, spot) {
      var pad = state.pads[number];
      if (!spot) return;
      state.pads[number] = { x: spot.foot[0], y: spot.foot[1], bolt: spot.bolt, limit: pad.limit, hold: pad.hold };
      later();
    }

    /* Allowed places where no other clamp is in the way of this one. */
    function freePlaces(number) { return places.free(view().places, feet(number), 2 * view().half); }

    function feet(number) {
      return state.pads.filter(function (_, k) { return k !== number; }).map(function (pad) { return [pad.x, pad.y]; });
    }

    function later() {
      if (!frame) frame = window.requestAnimationFrame(draw);
    }

    function add() {
      if (state.pads.length >= data.most) return;
      var spot = view().places.length ? places.roomiest(freePlaces(), feet()) : { foot: farOnRim() };
      if (!spot) return;
      state.chosen = state.pads.push(Object.assign({}, view().one)) - 1;
      stand(state.chosen, spot);
    }

    /* Somewhere on the rim that is far from all others. */
    function farOnRim() {
      var rim = state.view === "part" ? view().outline : boardRim(8), best = null, long = places.length(rim);
      for (var k = 0; k < RIM_TRIES; k++) {
        var p = places.walked(rim, rim[0], k * long / RIM_TRIES), least = Infinity;
        state.pads.forEach(function (pad) { least = Math.min(least, Math.hypot(pad.x - p[0], pad.y - p[1])); });
        if (!best || least > best.least + 1e-9) best = { least: least, at: p };
      }
      return best.at;
    }

    function remove(number) {
      if (!state.pads.length) return;
      state.pads.splice(number, 1);
      state.chosen = Math.max(0, Math.min(number, state.pads.length - 1));
      later();
    }

    function restart(name, pads) {
      state.view = name;
      state.pads = pads || view().start.map(function (pad, number) { return Object.assign({}, pad, view().bodies[number]); });
      if (pads && view().places.length) pads.forEach(function (pad, number) { move(number, [pad.x, pad.y]); });
      state.chosen = 0;
      svg.setAttribute("data-view", name);
      root.querySelectorAll("[data-for-view]").forEach(function (words) { words.hidden = words.dataset.forView !== name; });
      root.querySelectorAll("[data-what]").forEach(function (word) { word.textContent = what(); });
      root.querySelectorAll("[data-bench-view]").forEach(function (radio) { radio.checked = radio.value === name; });
      layer("clamps").replaceChildren();
      later();
    }

    function at(pad) { return "(" + Math.round(pad.x) + ", " + Math.round(pad.y) + ") mm"; }
    function times(margin) { return X.showNumber(margin < 10 ? Math.floor(margin * 10 + 1e-9) / 10 : Math.floor(margin), "1", 2) + " times"; }

    function verdict() {
      var hits = state.pads.filter(inTheWay).length, thing = state.view === "part" ? "part" : "board";
      var would = { turning: "turn about " + (last.pivot ? at({ x: last.pivot[0], y: last.pivot[1] }) : "a point"), sliding: "slide",
        lift: "lift off", tipping: "tip over its edge" }[last.rules];
      var close = state.pads.filter(tight).length;
      var blocked = (hits ? stands(hits) + " in the cutter's way: do not cut. " : "") +
        (close ? stands(close) + " near the cutter's way: little is to spare. " : "");
      return blocked + (last.margin >= data.needed ? "Enough: " : "Not enough: ") + times(data.needed) + " are wanted. With the cutter at " +
        at(last) + " the " + thing + " would " + would + " first.";
    }

    function stands(count) { return count + " " + what() + (count > 1 ? "s stand" : " stands"); }

    function say() {
      var hits = state.pads.filter(inTheWay).length, holds = last.margin >= data.needed;
      part("margin").textContent = Number.isFinite(last.margin) ? times(last.margin) : "no answer";
      part("verdict").textContent = verdict();
      root.classList.toggle("os-bench--holds", holds && !hits);
      part("count").textContent = state.pads.length + " " + what() + (state.pads.length === 1 ? "" : "s");
      part("reading").textContent = state.force === null ? "" : "By this estimate your pull starts to move it at " +
        X.show(last.margin * state.force, "N", 2) + " or more, at the weakest place and in the weakest direction.";
      exercises.look(last, hits);
    }

    function setAreas(counted) {
      state.areas = counted;
      if (part("areas")) part("areas").checked = counted;
      later();
    }

    function force() {
      var field = part("force"), value = field.value.trim() === "" ? null : Number(field.value);
      var good = value === null || (Number.isFinite(value) && value >= Number(field.min) && value <= Number(field.max));
      field.setAttribute("aria-invalid", String(!good));
      part("force-error").hidden = good;
      state.force = good ? value : null;
      later();
    }

    root.querySelectorAll("[data-nudge]").forEach(function (button) {
      button.addEventListener("click", function () { nudge(state.chosen, NUDGES[button.dataset.nudge], STEP); });
    });
    root.querySelectorAll("[data-bench-view]").forEach(function (radio) {
      radio.addEventListener("change", function () { restart(radio.value); });
    });
    part("add").addEventListener("click", add);
    part("remove").addEventListener("click", function () { remove(state.chosen); });
    part("restart").addEventListener("click", function () { restart(state.view); });
    part("next").addEventListener("click", function () { choose((state.chosen + 1) % Math.max(1, state.pads.length)); });
    part("force").addEventListener("input", force);
    if (part("areas")) part("areas").addEventListener("change", function () { setAreas(part("areas").checked); });
    svg.setAttribute("role", "group");
    svg.setAttribute("aria-label", "The bed from above; everything that can be moved is listed in it");
    svg.querySelector("title").remove();
    if (data.view.board.kind === "screw") layer("fixed").remove();
    root.querySelectorAll("[data-live]").forEach(function (live) { live.hidden = false; });
    restart("board");
  }

  document.querySelectorAll("[data-bench]").forEach(begin);
})();
