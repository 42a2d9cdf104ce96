/* What stands still: bed, board, clamps, zero, safe height and reach, from above and from the side. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;
  var BED_SHOWN = 8;

  function label(x, y, words, style, anchor) {
    return R.element("text", { "class": "f-small " + (style || ""), x: x, y: y, "text-anchor": anchor || "start" }, words);
  }

  function fromAbove(view, scene, layer) {
    layer.replaceChildren();
    if (scene.travel) layer.append(R.rectangle(view, scene.travel, "f-faint r-travel"));
    if (scene.stock) layer.append(R.rectangle(view, scene.stock, "f-board"));
    scene.clamps.forEach(function (clamp) {
      layer.append(R.rectangle(view, clamp.box, "f-clamp"));
      layer.append(hatch(view, clamp.box));
    });
  }

  /* Strokes across a clamp, so that it is told from the board without its colour. */
  function hatch(view, box) {
    var x0 = view.across(box[0]), x1 = view.across(box[2]), y0 = view.up(box[3]), y1 = view.up(box[1]);
    var way = "M" + x0 + " " + y0 + "L" + x1 + " " + y1 + "M" + x0 + " " + y1 + "L" + x1 + " " + y0;
    return R.element("path", { "class": "r-hatch", d: way });
  }

  function zeroFromAbove(view, layer) {
    var x = view.across(0), y = view.up(0);
    layer.append(R.element("path", { "class": "r-zero", d: "M" + (x - 12) + " " + y + "h24M" + x + " " + (y - 12) + "v24" }));
    layer.append(R.element("circle", { "class": "r-zero", cx: x, cy: y, r: 5 }));
    layer.append(label(x + 8, y - 8, "X0 Y0", "f-strong"));
  }

  function clampNames(view, scene, layer) {
    scene.clamps.forEach(function (clamp) {
      if ((clamp.box[2] - clamp.box[0]) * view.scale < 30) return;
      var x = (view.across(clamp.box[0]) + view.across(clamp.box[2])) / 2;
      layer.append(label(x, (view.up(clamp.box[1]) + view.up(clamp.box[3])) / 2 + 4, clamp.name, "", "middle"));
    });
  }

  /* `axis` 0 looks from the front along Y, 1 from the right along X, where the front is on the left. */
  function fromSide(view, scene, axis, layer) {
    var low = view.box[0], high = view.box[2];
    layer.replaceChildren();
    if (scene.bottom !== null) {
      layer.append(R.rectangle(view, [low, view.box[1], high, scene.bottom], "f-bed"));
    }
    scene.clamps.forEach(function (clamp) {
      var floor = scene.bottom === null ? view.box[1] : scene.bottom;
      layer.append(R.rectangle(view, [clamp.box[axis], floor, clamp.box[axis + 2], clamp.top], "f-clamp"));
    });
    if (scene.stock && scene.top !== null && scene.bottom !== null) {
      layer.append(R.rectangle(view, [scene.stock[axis], scene.bottom, scene.stock[axis + 2], scene.top], "f-board"));
    }
    heights(view, scene, layer);
  }

  function heights(view, scene, layer) {
    var left = view.across(view.box[0]);
    if (scene.safe !== null) {
      var y = view.up(scene.safe), right = view.across(view.box[2]);
      layer.append(R.element("line", { "class": "f-dim r-safe", x1: left, y1: y, x2: right, y2: y }));
      layer.append(label(left + 4, y - 4, "safe height"));
    }
    if (scene.bottom !== null) layer.append(label(view.across(view.box[2]) - 6, view.up(scene.bottom) + 13, "bed", "", "end"));
    layer.append(R.element("line", { "class": "r-zero", x1: left, y1: view.up(0), x2: left + 14, y2: view.up(0) }));
    layer.append(label(left + 17, view.up(0) + 4, "Z0", "f-strong"));
  }

  R.bed = { shown: BED_SHOWN, fromAbove: fromAbove, fromSide: fromSide, zero: zeroFromAbove, names: clampNames };
})();
