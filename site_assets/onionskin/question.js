/* One question of a quiz: is it answered, and is the answer right. The key is in the page: data-right or
   data-decides (the id of a value) on an option, data-number (the id of a value) on an option that is a
   number, data-step on the steps to put in order. */
(function () {
  "use strict";
  var course = window.ONIONSKIN;
  if (!course) return;

  function valueOf(id, facts) { return course.values[id] ? course.values[id].value(facts) : null; }

  function mark(option, right, word) {
    var sign = document.createElement("strong");
    sign.className = "os-sign-word";
    sign.textContent = word;
    option.classList.add(right ? "os-right" : "os-wrong");
    option.prepend(sign);
    option.querySelector(".os-why").hidden = false;
  }

  function unmark(option) {
    option.classList.remove("os-right", "os-wrong");
    option.querySelectorAll(".os-sign-word").forEach(function (sign) { sign.remove(); });
    option.querySelector(".os-why").hidden = true;
  }

  function isKey(option, facts) {
    return option.dataset.decides ? valueOf(option.dataset.decides, facts) === true : "right" in option.dataset;
  }

  function isFar(one, other, share) { return Math.abs(one - other) >= share * Math.max(Math.abs(one), Math.abs(other)); }

  /* Numbers stand in rising order for this machine. A slip too near to the answer or to another slip is no choice:
     with one flute, who forgets the flutes has the feed. Must do what apart() in generator/quiz.py does. */
  function arrange(options, facts) {
    if (!options[0].dataset.number) return;
    var share = Number(options[0].closest("[data-quiz]").dataset.apart);
    var all = options.map(function (option) { return { option: option, number: valueOf(option.dataset.number, facts) }; });
    all.sort(function (a, b) { return a.number - b.number; });
    var kept = all.filter(function (one) { return "right" in one.option.dataset; });
    all.forEach(function (one) {
      var option = one.option;
      option.parentElement.insertBefore(option, option.parentElement.querySelector("[data-done]"));
      if ("right" in option.dataset) return;
      option.hidden = one.number === null || !kept.every(function (other) {
        return isFar(one.number, other.number, share) && words(option) !== words(other.option);
      });
      if (!option.hidden) kept.push(one);
    });
  }

  function words(option) { return option.querySelector(".os-option__text").textContent.trim(); }

  function choice(root) {
    var options = Array.from(root.querySelectorAll(".os-option"));
    function chosen() { return options.find(function (option) { return option.querySelector("input").checked; }); }
    return {
      follow: function (facts) { arrange(options, facts); },
      judged: function (facts) {
        var keys = options.filter(function (option) { return isKey(option, facts); });
        if (!options[0].dataset.number) return keys.length > 0;
        return valueOf(keys[0].dataset.number, facts) !== null && options.some(function (option) { return !option.hidden && !isKey(option, facts); });
      },
      answered: function () { return chosen() !== undefined; },
      clear: function () {
        options.forEach(unmark);
        options.forEach(function (option) { option.querySelector("input").checked = false; });
      },
      check: function (facts) {
        var right = isKey(chosen(), facts);
        mark(chosen(), right, right ? "Right" : "Not right");
        options.forEach(function (option) {
          if (!right && isKey(option, facts)) mark(option, true, "The answer");
        });
        return right;
      }
    };
  }

  function order(root) {
    var list = root.querySelector("[data-order]"), fold = root.querySelector("details[data-answer]");
    var first = Array.from(list.children);
    return {
      follow: function () { return undefined; },
      judged: function () { return true; },
      answered: function () { return true; },
      clear: function () {
        list.append.apply(list, first);
        fold.hidden = true;
      },
      check: function () {
        fold.hidden = false;
        fold.open = true;
        return Array.from(list.children).every(function (step, at) { return Number(step.dataset.step) === at; });
      }
    };
  }

  window.OnionskinQuestion = function (root) {
    return root.querySelector("[data-order]") ? order(root) : choice(root);
  };
})();
