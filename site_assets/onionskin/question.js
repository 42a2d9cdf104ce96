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

  /* Numbers stand in rising order for this machine; a slip that gives the right number is no choice. */
  function arrange(options, facts) {
    if (!options[0].dataset.number) return;
    options.sort(function (a, b) { return valueOf(a.dataset.number, facts) - valueOf(b.dataset.number, facts); });
    options.forEach(function (option) { option.parentElement.insertBefore(option, option.parentElement.querySelector("[data-done]")); });
    options.reduce(function (before, option) {
      var twin = before && words(before) === words(option);
      option.hidden = Boolean(twin) && !("right" in option.dataset);
      if (twin && !option.hidden) before.hidden = true;
      return option;
    }, null);
  }

  function words(option) { return option.querySelector(".os-option__text").textContent.trim(); }

  function choice(root) {
    var options = Array.from(root.querySelectorAll(".os-option"));
    function chosen() { return options.find(function (option) { return option.querySelector("input").checked; }); }
    return {
      follow: function (facts) { arrange(options, facts); },
      judged: function (facts) { return options.some(function (option) { return isKey(option, facts); }); },
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
