/* The only file of ours that touches localStorage. All pages opened from file:// share one store with
   strangers, so every key carries our name and the version of the format, and whoever reads a value says
   how to tell a good one. Where the browser refuses, values live until the page is closed, and a note says so. */
(function () {
  "use strict";
  var PREFIX = "onionskin.1.";
  var memory = {};
  var refused = !accepts();

  function accepts() {
    try {
      localStorage.setItem(PREFIX + "probe", "1");
      localStorage.removeItem(PREFIX + "probe");
      return true;
    } catch (error) {
      return false;
    }
  }

  function showNote() {
    document.querySelectorAll("[data-store-note]").forEach(function (note) { note.hidden = !refused; });
  }

  function text(name) {
    if (name in memory) return memory[name];
    try {
      return localStorage.getItem(PREFIX + name);
    } catch (error) {
      return null;
    }
  }

  /* The value kept under `name` if `good` accepts it, else null. */
  function read(name, good) {
    try {
      var value = JSON.parse(text(name));
      return value !== null && good(value) ? value : null;
    } catch (error) {
      return null;
    }
  }

  function write(name, value) {
    try {
      localStorage.setItem(PREFIX + name, JSON.stringify(value));
      delete memory[name];
    } catch (error) {
      memory[name] = JSON.stringify(value);
      refused = true;
      showNote();
    }
  }

  function remove(name) {
    delete memory[name];
    try {
      localStorage.removeItem(PREFIX + name);
    } catch (error) {
      refused = true;
    }
  }

  showNote();
  window.OnionskinStore = { read: read, write: write, remove: remove };
})();
