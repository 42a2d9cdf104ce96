/* From millimetres of the job to pixels of a view, and small help with SVG. Y and Z grow upwards in the job. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;
  var SVG = "http://www.w3.org/2000/svg";

  /* A frame shows the box [low across, low up, high across, high up]; `stretch` enlarges heights only. */
  function frame(box, width, height, stretch) {
    var scale = Math.min(width / (box[2] - box[0]), height / ((box[3] - box[1]) * stretch));
    var left = (width - (box[2] - box[0]) * scale) / 2;
    return {
      width: width, height: height, scale: scale, stretch: stretch, box: box,
      across: function (value) { return left + (value - box[0]) * scale; },
      up: function (value) { return height - (value - box[1]) * scale * stretch; }
    };
  }

  function element(name, attributes, words) {
    var made = document.createElementNS(SVG, name);
    Object.keys(attributes).forEach(function (key) { made.setAttribute(key, attributes[key]); });
    if (words !== undefined) made.textContent = words;
    return made;
  }

  /* A rectangle between two corners given in mm. */
  function rectangle(view, box, style) {
    var x = view.across(box[0]), y = view.up(box[3]);
    return element("rect", {
      "class": style, x: x, y: y, width: Math.max(0, view.across(box[2]) - x), height: Math.max(0, view.up(box[1]) - y)
    });
  }

  function joined(boxes) {
    return boxes.reduce(function (all, box) {
      return [Math.min(all[0], box[0]), Math.min(all[1], box[1]), Math.max(all[2], box[2]), Math.max(all[3], box[3])];
    });
  }

  function extent(values, low, high) {
    for (var i = 0; i < values.length; i += 1) {
      if (values[i] < low) low = values[i];
      if (values[i] > high) high = values[i];
    }
    return [low, high];
  }

  R.frame = frame;
  R.element = element;
  R.rectangle = rectangle;
  R.joined = joined;
  R.extent = extent;
})();
