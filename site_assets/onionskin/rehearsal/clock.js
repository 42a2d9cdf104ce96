/* Where the rehearsal stands. `index` is the last point reached, `time` the seconds since the start; several
   points may share one time, so stepping sets the index itself. */
(function () {
  "use strict";
  var R = window.OnionskinRehearsal;
  var MOST_FRAME = 0.25;
  var clock = { track: null, index: 0, time: 0, playing: false, speed: 10, stops: [] };
  var watchers = [];
  var last = 0, waiting = false;

  function tell() {
    if (waiting) return;
    waiting = true;
    window.requestAnimationFrame(function () {
      waiting = false;
      watchers.forEach(function (watcher) { watcher(clock); });
    });
  }

  /* The last point reached after `time` seconds. */
  function reached(time) {
    var t = clock.track.t, low = 0, high = clock.track.count;
    while (low < high) {
      var middle = (low + high) >> 1;
      if (t[middle] <= time) low = middle + 1; else high = middle;
    }
    return Math.max(0, low - 1);
  }

  function end() { return clock.track.t[clock.track.count - 1]; }

  function go(time) {
    clock.time = Math.min(Math.max(time, 0), end());
    clock.index = reached(clock.time);
    tell();
  }

  function goToPoint(index) {
    clock.index = Math.min(Math.max(index, 0), clock.track.count - 1);
    clock.time = clock.track.t[clock.index];
    tell();
  }

  /* One whole move on or back. */
  function step(way) {
    pause();
    var move = clock.track.move, count = clock.track.count, index = clock.index;
    if (way > 0) {
      if (index + 1 < count) index += 1;
      while (index + 1 < count && move[index + 1] === move[index]) index += 1;
    } else if (clock.time <= clock.track.t[index]) {
      var here = move[index];
      while (index > 0 && move[index] === here) index -= 1;
    }
    goToPoint(index);
  }

  /* The point the cutter is on its way to, or stands at. */
  function heading() {
    var underWay = clock.time > clock.track.t[clock.index];
    return Math.min(clock.index + (underWay ? 1 : 0), clock.track.count - 1);
  }

  /* Where the cutter is: [x, y, z] in mm. Before a gap it stays. */
  function place() {
    var track = clock.track, i = clock.index, next = Math.min(i + 1, track.count - 1);
    var span = track.t[next] - track.t[i];
    var share = span > 0 && track.kind[next] !== R.LOST ? Math.min(1, (clock.time - track.t[i]) / span) : 0;
    return ["x", "y", "z"].map(function (axis) {
      return track[axis][i] + (track[axis][next] - track[axis][i]) * share;
    });
  }

  function play() {
    if (clock.playing) return;
    if (clock.index >= clock.track.count - 1) goToPoint(0);
    clock.playing = true;
    last = 0;
    tell();
    window.requestAnimationFrame(frame);
  }

  function pause() {
    clock.playing = false;
    tell();
  }

  function frame(now) {
    if (!clock.playing) return;
    var passed = last ? Math.min(MOST_FRAME, (now - last) / 1000) : 0;
    last = now;
    var next = clock.time + passed * clock.speed;
    var stop = clock.stops.find(function (at) { return at.time > clock.time && at.time <= next; });
    go(stop ? stop.time : next);
    if (stop || clock.time >= end()) pause();
    if (stop) stop.reached();
    window.requestAnimationFrame(frame);
  }

  function use(track) {
    pause();
    clock.track = track;
    go(Math.min(clock.time, end()));
  }

  R.clock = clock;
  R.use = use;
  R.end = end;
  R.go = go;
  R.goToPoint = goToPoint;
  R.step = step;
  R.place = place;
  R.heading = heading;
  R.play = play;
  R.pause = pause;
  R.refresh = tell;
  R.watch = function (watcher) { watchers.push(watcher); };
})();
