/* One view of the bed: what stands still, the path, the cutter with its nut, and the marks of findings. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;

  /* `place` is the element of the view, `seen` the two axes it shows, such as ["x", "y"]. */
  function View(place, seen) {
    this.place = place;
    this.seen = seen;
    this.still = place.querySelector("[data-still]");
    this.over = place.querySelector("[data-over]");
    this.faint = place.querySelector("[data-faint]");
    this.done = place.querySelector("[data-done]");
    this.moving = R.element("g", {});
    this.marks = R.element("g", {});
  }

  View.prototype.fit = function (box, height, stretch) {
    var width = this.place.clientWidth;
    this.place.style.height = height + "px";
    this.view = R.frame(box, width, height, stretch);
    [this.still, this.over].forEach(function (layer) { layer.setAttribute("viewBox", "0 0 " + width + " " + height); });
    this.over.replaceChildren(this.moving, this.marks);
    this.doneContext = R.ink.prepare(this.done, this.view);
    this.drawn = 0;
  };

  View.prototype.drawFaint = function (track, look) {
    var context = R.ink.prepare(this.faint, this.view);
    R.ink.draw(context, this.view, this.seen, track, 0, track.count - 1, look);
  };

  /* Brings the strong drawing up to point `index`; going back starts it anew. */
  View.prototype.drawDone = function (track, index, look) {
    if (index < this.drawn) {
      this.doneContext.clearRect(0, 0, this.view.width, this.view.height);
      this.drawn = 0;
    }
    R.ink.draw(this.doneContext, this.view, this.seen, track, this.drawn, index, look);
    this.drawn = index;
  };

  /* The piece of the move under way, from the last point reached to the cutter. */
  View.prototype.underWay = function (from, to, kind) {
    var pick = this.pick.bind(this), a = pick(from), b = pick(to);
    return R.element("line", {
      "class": kind === R.RAPID ? "f-rapid" : "r-under-way",
      x1: this.view.across(a[0]), y1: this.view.up(a[1]), x2: this.view.across(b[0]), y2: this.view.up(b[1])
    });
  };

  View.prototype.pick = function (place) {
    return this.seen.map(function (axis) { return place["xyz".indexOf(axis)]; });
  };

  /* Cutter and nut as solid shapes at `place`, from above. */
  View.prototype.cutterFromAbove = function (place, cutter, nut) {
    var x = this.view.across(place[0]), y = this.view.up(place[1]);
    if (nut.diameter !== null) {
      this.moving.append(R.element("circle", { "class": "f-holder r-nut", cx: x, cy: y, r: nut.diameter / 2 * this.view.scale }));
    }
    var radius = Math.max(2.5, cutter.diameter / 2 * this.view.scale);
    this.moving.append(R.element("circle", { "class": "f-cutter", cx: x, cy: y, r: radius }));
  };

  View.prototype.cutterFromSide = function (place, cutter, nut) {
    var at = this.pick(place), out = cutter.stickOut === null ? 25 : cutter.stickOut, half = cutter.diameter / 2;
    this.moving.append(R.rectangle(this.view, [at[0] - half, at[1], at[0] + half, at[1] + out], "f-cutter"));
    if (nut.diameter === null || cutter.stickOut === null) return;
    var wide = nut.diameter / 2, high = at[1] + out + (nut.length === null ? 15 : nut.length);
    this.moving.append(R.rectangle(this.view, [at[0] - wide, at[1] + out, at[0] + wide, high], "f-holder"));
  };

  R.View = View;
})();
