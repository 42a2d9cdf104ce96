/* The fields of the page "My machine": their text and the facts they stand for. An empty field is unknown. */
(function () {
  "use strict";
  var course = window.ONIONSKIN, limits = window.OnionskinFacts, numbers = window.OnionskinNumbers;
  if (!course) return;

  function ticked(controls) {
    var values = controls.filter(function (box) { return box.checked; }).map(function (box) { return box.value; });
    return values.length ? values : null;
  }

  var readers = {
    number: function (text) { return numbers.number(text, false); },
    text: function (text) { return text.trim() || null; },
    bool: function (text) { return text === "" ? null : text === "yes"; },
    numbers: function (text) { return numbers.list(text, true); },
    texts: function (text) { return numbers.list(text, false); }
  };

  function worded(value) {
    if (value === null || value === undefined) return "";
    if (typeof value === "boolean") return value ? "yes" : "no";
    return Array.isArray(value) ? numbers.written(value) : String(value);
  }

  window.OnionskinFields = function (form) {
    var names = Object.keys(course.facts).filter(function (name) { return controls(name).length > 0; });

    function controls(name) { return Array.from(form.querySelectorAll('[name="' + name + '"]')); }

    function show(name, says) {
      var error = form.querySelector('[data-error="' + name + '"]');
      error.textContent = says;
      error.hidden = !says;
      controls(name).forEach(function (control) { control.setAttribute("aria-invalid", says ? "true" : "false"); });
    }

    function valueOf(name) {
      var boxes = controls(name);
      if (boxes[0].type === "checkbox") return ticked(boxes);
      return boxes[0].value.trim().toLowerCase() === "unknown" ? null : readers[course.facts[name].kind](boxes[0].value);
    }

    function sentence(name, unread, facts) {
      var label = course.facts[name].label, fault = limits.faultOf(name, facts[name]);
      return unread[name] ? label + ": " + unread[name] + "." : fault ? label + " " + fault + "." : "";
    }

    /* Every fault of `facts`, said at its field too; `unread` has the words for fields that could not be read. */
    function judge(facts, unread) {
      var together = limits.together(facts), faults = [];
      names.forEach(function (name) {
        var other = together.find(function (fault) { return fault.names.indexOf(name) >= 0; });
        var says = sentence(name, unread, facts);
        show(name, says || (other ? other.says : ""));
        if (says) faults.push(says);
      });
      return faults.concat(together.map(function (fault) { return fault.says; }));
    }

    /* { facts, faults } as the fields stand. */
    function read() {
      var facts = {}, unread = {};
      names.forEach(function (name) {
        try {
          facts[name] = valueOf(name);
        } catch (error) {
          unread[name] = error.message;
        }
      });
      return { facts: facts, faults: judge(facts, unread) };
    }

    /* Writes the fields `which`, all where none are named; a fact that is left out is unknown. */
    function write(facts, which) {
      (which || names).forEach(function (name) {
        show(name, "");
        controls(name).forEach(function (control) {
          if (control.type === "checkbox") control.checked = (facts[name] || []).indexOf(control.value) >= 0;
          else control.value = worded(facts[name]);
        });
      });
    }

    return { names: names, read: read, write: write, judge: judge };
  };
})();
