/* Reads back the columns that pack.py wrote: base64, seven bits a byte, zigzag, differences. Plain arithmetic
   instead of bit operators, since a place in micrometres can be larger than 32 bits. */
(function () {
  "use strict";
  var STEPS = { x: 0.001, y: 0.001, z: 0.001, t: 0.001 };

  function column(text, count, step) {
    var bytes = atob(text);
    var values = new Float64Array(count);
    var whole = 0, rest = 0, place = 1, index = 0;
    for (var i = 0; i < bytes.length; i += 1) {
      var byte = bytes.charCodeAt(i);
      rest += (byte & 127) * place;
      place *= 128;
      if (byte < 128) {
        whole += rest % 2 ? -(rest + 1) / 2 : rest / 2;
        values[index] = whole * step;
        index += 1;
        rest = 0;
        place = 1;
      }
    }
    return values;
  }

  /* The track as arrays of `count` numbers: places in mm, t in s, feed in mm/min, kind, move, line. */
  function unpack(packed) {
    var track = { count: packed.count };
    ["x", "y", "z", "t", "kind", "move", "line", "feed"].forEach(function (name) {
      track[name] = column(packed[name], packed.count, STEPS[name] || 1);
    });
    return track;
  }

  window.OnionskinRehearsal = { RAPID: 0, LOST: 5, WAIT: 6, unpack: unpack };
})();
