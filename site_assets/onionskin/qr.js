/* QR codes of text in alphanumeric mode with error correction level M (ISO/IEC 18004:2015): the smallest
   version that fits, and the mask with the least penalty. Tests read every version back with another program. */
(function () {
  "use strict";
  var SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:";
  // Table 9 of the standard, level M, versions 1 to 40: check bytes in each block, and blocks.
  var CHECK = [10, 16, 26, 18, 24, 16, 18, 22, 22, 26, 30, 22, 22, 24, 24, 28, 28, 26, 26, 26, 26].concat(Array(19).fill(28));
  var BLOCKS = [1, 1, 1, 2, 2, 4, 4, 4, 5, 5, 5, 8, 9, 9, 10, 10, 11, 13, 14, 16, 17, 17, 18, 20, 21, 23, 25, 26, 28, 29,
    31, 33, 35, 37, 38, 40, 43, 45, 47, 49];
  var MASKS = [
    function (x, y) { return (x + y) % 2; },
    function (x, y) { return y % 2; },
    function (x) { return x % 3; },
    function (x, y) { return (x + y) % 3; },
    function (x, y) { return (Math.floor(x / 3) + Math.floor(y / 2)) % 2; },
    function (x, y) { return x * y % 2 + x * y % 3; },
    function (x, y) { return (x * y % 2 + x * y % 3) % 2; },
    function (x, y) { return ((x + y) % 2 + x * y % 3) % 2; }
  ];
  var POWER = [], LOG = [];
  for (var i = 0, value = 1; i < 255; i += 1) {
    POWER[i] = value;
    LOG[value] = i;
    value = value * 2 ^ (value > 127 ? 0x11d : 0);
  }
  function times(a, b) { return a && b ? POWER[(LOG[a] + LOG[b]) % 255] : 0; }
  function bytesIn(version) {
    var many = Math.floor(version / 7) + 2, bits = (16 * version + 128) * version + 64;
    if (version > 1) bits -= (25 * many - 10) * many - 55;
    if (version > 6) bits -= 36;
    return Math.floor(bits / 8);
  }

  function put(bits, number, length) {
    for (var at = length - 1; at >= 0; at -= 1) bits.push(number >> at & 1);
  }

  function message(text, version) {
    var bits = [], room = (bytesIn(version) - CHECK[version - 1] * BLOCKS[version - 1]) * 8;
    put(bits, 2, 4);
    put(bits, text.length, version < 10 ? 9 : version < 27 ? 11 : 13);
    for (var at = 0; at < text.length; at += 2) {
      var first = SIGNS.indexOf(text[at]), pair = at + 1 < text.length;
      put(bits, pair ? first * 45 + SIGNS.indexOf(text[at + 1]) : first, pair ? 11 : 6);
    }
    if (bits.length > room) return null;
    put(bits, 0, Math.min(4, room - bits.length));
    put(bits, 0, (8 - bits.length % 8) % 8);
    for (var pad = 0xec; bits.length < room; pad ^= 0xec ^ 0x11) put(bits, pad, 8);
    return bits;
  }

  /* The factors of the polynomial whose remainder is the check bytes, highest power left out. */
  function generator(count) {
    var factors = Array(count).fill(0);
    factors[count - 1] = 1;
    for (var root = 0; root < count; root += 1) {
      factors = factors.map(function (factor, at) { return times(factor, POWER[root]) ^ (factors[at + 1] || 0); });
    }
    return factors;
  }

  function checkOf(data, factors) {
    return data.reduce(function (rest, byte) {
      var lead = byte ^ rest[0];
      return rest.slice(1).concat(0).map(function (old, at) { return old ^ times(factors[at], lead); });
    }, Array(factors.length).fill(0));
  }

  /* Data and check bytes of all blocks in the order they are drawn, as bits. */
  function interleaved(bits, version) {
    var many = BLOCKS[version - 1], factors = generator(CHECK[version - 1]), bytes = [], blocks = [], drawn = [];
    for (var at = 0; at < bits.length; at += 8) bytes.push(parseInt(bits.slice(at, at + 8).join(""), 2));
    var short = Math.floor(bytes.length / many), firstLong = many - bytes.length % many;
    for (var block = 0, from = 0; block < many; block += 1) blocks.push(bytes.slice(from, from += short + (block >= firstLong)));
    [blocks, blocks.map(function (data) { return checkOf(data, factors); })].forEach(function (parts) {
      for (var row = 0; row < parts[many - 1].length; row += 1) {
        parts.forEach(function (part) { if (row < part.length) put(drawn, part[row], 8); });
      }
    });
    return drawn;
  }

  function grid(version) {
    var size = version * 4 + 17;
    function empty() { return Array.from({ length: size }, function () { return Array(size).fill(0); }); }
    return { size: size, dark: empty(), fixed: empty() };
  }

  function fix(code, x, y, on) {
    if (x < 0 || y < 0 || x >= code.size || y >= code.size) return;
    code.dark[y][x] = on ? 1 : 0;
    code.fixed[y][x] = 1;
  }

  function square(code, x, y, reach, isDark) {
    for (var dy = -reach; dy <= reach; dy += 1) {
      for (var dx = -reach; dx <= reach; dx += 1) fix(code, x + dx, y + dy, isDark(Math.max(Math.abs(dx), Math.abs(dy))));
    }
  }

  function alignments(version) {
    var many = version > 1 ? Math.floor(version / 7) + 2 : 0, step = Math.floor((version * 8 + many * 3 + 5) / (many * 4 - 4)) * 2;
    return Array.from({ length: many }, function (_, at) { return at ? version * 4 + 10 - (many - 1 - at) * step : 6; });
  }

  function patterns(code, version) {
    var last = code.size - 1, places = alignments(version), end = places.length - 1;
    for (var at = 0; at <= last; at += 1) {
      fix(code, 6, at, at % 2 === 0);
      fix(code, at, 6, at % 2 === 0);
    }
    [[3, 3], [last - 3, 3], [3, last - 3]].forEach(function (place) {
      square(code, place[0], place[1], 4, function (ring) { return ring !== 2 && ring !== 4; });
    });
    places.forEach(function (x, column) {
      places.forEach(function (y, row) {
        var corner = (column === 0 && (row === 0 || row === end)) || (column === end && row === 0);
        if (!corner) square(code, x, y, 2, function (ring) { return ring !== 1; });
      });
    });
  }

  function withRemainder(number, length, divisor) {
    var rest = number << length;
    for (var at = 31; at >= length; at -= 1) if (rest >>> at & 1) rest ^= divisor << (at - length);
    return number << length | rest;
  }

  function marks(code, version, mask) {
    var format = withRemainder(mask, 10, 0x537) ^ 0x5412, number = withRemainder(version, 12, 0x1f25), size = code.size;
    for (var bit = 0; bit < 15; bit += 1) {
      var on = format >> bit & 1;
      if (bit < 8) fix(code, 8, bit < 6 ? bit : bit + 1, on);
      else fix(code, bit === 8 ? 7 : 14 - bit, 8, on);
      if (bit < 8) fix(code, size - 1 - bit, 8, on);
      else fix(code, 8, size - 15 + bit, on);
    }
    fix(code, 8, size - 8, true);
    for (bit = 0; version > 6 && bit < 18; bit += 1) {
      var across = size - 11 + bit % 3, down = Math.floor(bit / 3);
      fix(code, across, down, number >> bit & 1);
      fix(code, down, across, number >> bit & 1);
    }
  }

  /* Every module that carries data, in the order of the bits: two columns at a time, up and down in turn. */
  function eachFree(code, run) {
    var at = 0;
    for (var right = code.size - 1; right >= 1; right -= 2) {
      if (right === 6) right = 5;
      for (var step = 0; step < code.size * 2; step += 1) {
        var x = right - step % 2, up = (right + 1 & 2) === 0, row = Math.floor(step / 2), y = up ? code.size - 1 - row : row;
        if (!code.fixed[y][x]) run(x, y, at++);
      }
    }
  }

  function count(text, wanted) { return text.split(wanted).length - 1; }

  function penalty(code) {
    var rows = code.dark.map(function (row) { return row.join(""); });
    var columns = rows.map(function (row, x) { return code.dark.map(function (line) { return line[x]; }).join(""); });
    var total = 0, darks = count(rows.join(""), "1");
    rows.concat(columns).forEach(function (line) {
      (line.match(/0{5,}|1{5,}/g) || []).forEach(function (run) { total += run.length - 2; });
      total += 40 * (count(line, "10111010000") + count(line, "00001011101"));
    });
    for (var y = 1; y < code.size; y += 1) {
      for (var x = 1; x < code.size; x += 1) {
        var sum = code.dark[y][x] + code.dark[y - 1][x] + code.dark[y][x - 1] + code.dark[y - 1][x - 1];
        if (sum % 4 === 0) total += 3;
      }
    }
    return total + 10 * Math.floor(Math.abs(darks / (code.size * code.size) - 0.5) * 20);
  }

  function masked(bits, version, mask) {
    var code = grid(version);
    patterns(code, version);
    marks(code, version, mask);
    eachFree(code, function (x, y, at) { code.dark[y][x] = (bits[at] || 0) ^ (MASKS[mask](x, y) === 0 ? 1 : 0); });
    return code;
  }

  /* Rows of 0 and 1, dark 1, without the quiet zone; null where the text does not fit. */
  function rowsOf(text) {
    if (!Array.from(text).every(function (sign) { return SIGNS.indexOf(sign) >= 0; })) return null;
    for (var version = 1, bits = null; version <= 40 && !bits; version += 1) bits = message(text, version);
    if (!bits) return null;
    version -= 1;
    var drawn = interleaved(bits, version);
    var codes = MASKS.map(function (_, mask) { return masked(drawn, version, mask); });
    var marks = codes.map(penalty);
    return codes[marks.indexOf(Math.min.apply(null, marks))].dark;
  }

  window.OnionskinQr = rowsOf;
})();
