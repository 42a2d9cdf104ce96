/* The path on a canvas: all of it faint on one, what is done strong on another. A stroke's style says what it is:
   a rapid, a cut through air, a band of depth (darker on light paper, lighter on dark, always wider), or the bed. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;
  var NEAR = 0.35;

  function colours() {
    var style = window.getComputedStyle(document.querySelector("[data-stage]"));
    function read(name) { return style.getPropertyValue(name).trim(); }
    var bands = [1, 2, 3, 4, 5, 6].map(function (number) { return read("--depth-" + number); });
    return { rapid: read("--rapid"), air: read("--air-cut"), bed: read("--bed-cut"), bands: bands };
  }

  /* Style of the stroke that ends at height `z`, from `before`; the deeper end counts. */
  function styleOf(kind, before, z, scene, bands, ink) {
    if (kind === R.RAPID) return { colour: ink.rapid, width: 1.3, dash: [5, 4] };
    var low = Math.min(before, z);
    if (scene.top === null) return { colour: ink.bands[2], width: 1.8, dash: [] };
    if (low >= scene.top) return { colour: ink.air, width: 1.5, dash: [2, 3] };
    if (scene.bottom !== null && low < scene.bottom - scene.bite - 0.001) return { colour: ink.bed, width: 5, dash: [8, 4] };
    var depth = scene.top - low;
    var band = bands.findIndex(function (edge) { return depth <= edge + 0.0005; });
    if (band < 0) band = bands.length - 1;
    return { colour: ink.bands[band], width: 1.5 + 0.45 * band, dash: [] };
  }

  function key(style) { return style.colour + style.width; }

  /* Strokes from point `from` to point `to` of a track, seen as `across` and `up` columns. */
  function draw(context, view, seen, track, from, to, look) {
    var open = "", x = 0, y = 0, across = track[seen[0]], up = track[seen[1]];
    for (var i = Math.max(1, from + 1); i <= to; i += 1) {
      var kind = track.kind[i];
      var nextX = view.across(across[i]), nextY = view.up(up[i]);
      if (kind === R.LOST) { stroke(); continue; }
      var style = look(kind, track.z[i - 1], track.z[i]);
      if (key(style) !== open) { stroke(); begin(style, i); }
      if (Math.abs(nextX - x) + Math.abs(nextY - y) < NEAR && i < to && track.kind[i + 1] === kind) continue;
      context.lineTo(nextX, nextY);
      x = nextX;
      y = nextY;
    }
    stroke();

    function begin(style, index) {
      context.beginPath();
      context.strokeStyle = style.colour;
      context.lineWidth = style.width;
      context.setLineDash(style.dash);
      x = view.across(across[index - 1]);
      y = view.up(up[index - 1]);
      context.moveTo(x, y);
      open = key(style);
    }

    function stroke() {
      if (open) context.stroke();
      open = "";
    }
  }

  /* A canvas as large as its view, sharp on any screen, with an empty drawing. */
  function prepare(canvas, view) {
    var ratio = Math.min(3, window.devicePixelRatio || 1);
    canvas.width = Math.round(view.width * ratio);
    canvas.height = Math.round(view.height * ratio);
    var context = canvas.getContext("2d");
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    context.lineCap = "butt";
    context.lineJoin = "round";
    return context;
  }

  R.ink = { colours: colours, styleOf: styleOf, draw: draw, prepare: prepare };
})();
