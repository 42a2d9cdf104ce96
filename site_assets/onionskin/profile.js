/* The page "My machine": a form over the facts, kept in this browser, saved to a file and read from one. */
(function () {
  "use strict";
  var course = window.ONIONSKIN, machines = window.OnionskinMachine, limits = window.OnionskinFacts;
  var form = document.querySelector("form[data-profile]");
  if (!course || !form) return;
  var fields = window.OnionskinFields(form), files = window.OnionskinDocument;

  function place(name) { return form.querySelector("[data-" + name + "]"); }

  function line(fault) {
    var entry = document.createElement("li");
    entry.textContent = fault;
    return entry;
  }

  function say(words, faults) {
    var list = place("profile-faults");
    place("profile-status").textContent = words;
    list.replaceChildren.apply(list, (faults || []).map(line));
    place("profile-status").scrollIntoView({ block: "center" });
  }

  /* The machine of the course that the form's other facts come from. */
  function origin() {
    var own = machines.mine(), id = machines.current().id;
    return own && id === "mine" ? own.from : id;
  }

  function fill() {
    fields.write(machines.current().facts);
    document.querySelector("[data-profile-from]").textContent = course.machines[origin()].name;
  }

  /* Only what differs from the machine copied from, so that a mended course mends the rest. */
  function changes(from, facts) {
    var given = course.machines[from].facts, changed = {};
    Object.keys(facts).forEach(function (name) {
      if (!limits.same(facts[name], given[name])) changed[name] = facts[name];
    });
    return changed;
  }

  function keep(facts, words) {
    machines.keepMine({ from: origin(), facts: changes(origin(), facts) });
    say(words);
  }

  function save(event) {
    event.preventDefault();
    var answer = fields.read();
    if (answer.faults.length) return say("Not kept. Mend these first:", answer.faults);
    keep(answer.facts, "Kept on this device. Every page now follows your machine.");
  }

  function forget() {
    if (!window.confirm("Forget what you changed and go back to " + course.machines[origin()].name + "?")) return;
    machines.dropMine();
    say("Your changes are forgotten.");
  }

  function download(name, text) {
    var link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = name;
    link.click();
    setTimeout(function () { URL.revokeObjectURL(link.href); }, 1000);
  }

  function saveFile() {
    var answer = fields.read();
    if (answer.faults.length) return say("No file written. Mend these first:", answer.faults);
    var doc = files.write(origin(), answer.facts);
    download(doc.id + ".json", JSON.stringify(doc, null, 2) + "\n");
    say("Written as " + doc.id + ".json. Lay it in the folder machines of your workshop, or open it here on another device.");
  }

  function openFile(event) {
    var file = event.target.files[0];
    if (!file) return;
    file.text().then(function (text) {
      var answer = files.read(text, fields.names);
      if (answer.faults.length) say(file.name + " is not taken over. Mend these first:", answer.faults);
      else keep(answer.facts, file.name + " is taken over and kept on this device.");
      event.target.value = "";
    });
  }

  form.noValidate = true;
  form.addEventListener("submit", save);
  place("forget").addEventListener("click", forget);
  place("export").addEventListener("click", saveFile);
  place("import").addEventListener("change", openFile);
  machines.watch(fill);
})();
