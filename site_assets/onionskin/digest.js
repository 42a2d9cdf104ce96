/* SHA-256 (FIPS 180-4) of ASCII text. The browser's own is missing where a page is served without https, and
   gives its answer later; this one is there at once, everywhere. */
(function () {
  "use strict";
  var primes = [];
  for (var n = 2; primes.length < 64; n += 1) {
    if (primes.every(function (prime) { return n % prime; })) primes.push(n);
  }

  /* The first 32 bits after the point of a root. */
  function fraction(root) { return (root - Math.floor(root)) * 4294967296 | 0; }

  var START = primes.slice(0, 8).map(function (prime) { return fraction(Math.sqrt(prime)); });
  var ROUND = primes.map(function (prime) { return fraction(Math.cbrt(prime)); });

  function turn(word, by) { return word >>> by | word << 32 - by; }

  function padded(text) {
    var bytes = Array.from(text, function (sign) { return sign.charCodeAt(0); }).concat(0x80), words = [];
    while (bytes.length % 64 !== 56) bytes.push(0);
    for (var at = 0; at < bytes.length; at += 4) {
      words.push(bytes[at] << 24 | bytes[at + 1] << 16 | bytes[at + 2] << 8 | bytes[at + 3]);
    }
    return words.concat(0, text.length * 8);
  }

  function schedule(block) {
    var words = block.slice();
    for (var at = 16; at < 64; at += 1) {
      var early = words[at - 15], late = words[at - 2];
      words[at] = words[at - 16] + (turn(early, 7) ^ turn(early, 18) ^ early >>> 3) +
        words[at - 7] + (turn(late, 17) ^ turn(late, 19) ^ late >>> 10) | 0;
    }
    return words;
  }

  function stir(state, block) {
    var s = state.slice(), words = schedule(block);
    for (var at = 0; at < 64; at += 1) {
      var one = s[7] + (turn(s[4], 6) ^ turn(s[4], 11) ^ turn(s[4], 25)) + (s[4] & s[5] ^ ~s[4] & s[6]) + ROUND[at] + words[at];
      var two = (turn(s[0], 2) ^ turn(s[0], 13) ^ turn(s[0], 22)) + (s[0] & s[1] ^ s[0] & s[2] ^ s[1] & s[2]);
      s = [one + two | 0, s[0], s[1], s[2], s[3] + one | 0, s[4], s[5], s[6]];
    }
    return state.map(function (word, at) { return word + s[at] | 0; });
  }

  /* 64 hexadecimal digits. */
  window.OnionskinDigest = function (text) {
    var words = padded(text), state = START;
    for (var at = 0; at < words.length; at += 16) state = stir(state, words.slice(at, at + 16));
    return state.map(function (word) { return (word >>> 0).toString(16).padStart(8, "0"); }).join("");
  };
})();
