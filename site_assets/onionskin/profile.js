/* The page "My machine": a form over the facts, kept in this browser, saved to a file and read from one. */
(function () {
  "use strict";
  var course = window.ONIONSKIN, machines = window.OnionskinMachine, limits = window.OnionskinFacts;
  var form = document.querySelector("form[data-profile]");
  if (!course || !form) return;
  var fields = window.OnionskinFields(form), files = window.OnionskinDocument;
  var box = document.querySelector("[data-start-box]"), others = box.querySelector("select"), button = box.querySelector("button");
  var copied = fields.names.filter(function (name) { return course.facts[name].copied; });

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

  /* What was kept by an older page may break a rule of this one: it counts as unknown until it is mended. */
  function fill() {
    var kept = machines.mine() || {};
    fields.write(kept);
    var faults = fields.judge(kept, {});
    if (faults.length) say("Kept earlier, and taken as not known until you mend it:", faults);
  }

  function keep(facts, words) {
    machines.keepMine(limits.sound(facts));
    fill();
    say(words);
  }

  function save(event) {
    event.preventDefault();
    var answer = fields.read();
    if (answer.faults.length) return say("Not kept. Mend these first:", answer.faults);
    keep(answer.facts, "Kept on this device. Every page now follows your machine.");
  }

  function forget() {
    if (!window.confirm("Forget your machine and empty every field?")) return;
    machines.dropMine();
    fill();
    say("Your machine is forgotten.");
  }

  /* On request only; what belongs to one machine alone stays as the learner wrote it. */
  function start() {
    var id = others.value, name = course.machines[id].name;
    if (!window.confirm("Fill the fields with what " + name + " is like? What you wrote in those fields is replaced.")) return;
    fields.write(course.machines[id].facts, copied);
    say("The fields now say what " + name + " is like, and nothing is kept yet. Look at yours, mend what differs, empty what you have not seen.");
  }

  function nameStart() { button.textContent = "Start from " + course.machines[others.value].name; }

  function download(name, text) {
    var link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = name;
    link.click();
    setTimeout(function () { URL.revokeObjectURL(link.href); }, 1000);
  }

  function saveFile() {
    var answer = fields.read(), nameless = answer.facts["machine.name"] === null;
    var faults = answer.faults.concat(nameless ? ["A file needs the machine's name. Write what people here call it."] : []);
    if (faults.length) return say("No file written. Mend these first:", faults);
    var doc = files.write(answer.facts);
    download(doc.id + ".json", JSON.stringify(doc, null, 2) + "\n");
    say("Written as " + doc.id + ".json. Lay it in the folder machines of your workshop, or open it here on another device.");
  }

  function leftOut(left) {
    return left.length ? " This page has no fields for " + left.join(", ") + ": keep the file for them." : "";
  }

  function openFile(event) {
    var file = event.target.files[0];
    if (!file) return;
    file.text().then(function (text) {
      var answer = files.read(text, fields.names);
      if (answer.faults.length) say(file.name + " is not taken over. Mend these first:", answer.faults);
      else keep(answer.facts, file.name + " is taken over and kept on this device." + leftOut(answer.left));
      event.target.value = "";
    });
  }

  form.noValidate = true;
  form.addEventListener("submit", save);
  place("forget").addEventListener("click", forget);
  place("export").addEventListener("click", saveFile);
  place("import").addEventListener("change", openFile);
  button.addEventListener("click", start);
  others.addEventListener("change", nameStart);
  box.hidden = false;
  if (machines.current().id !== "mine") others.value = machines.current().id;
  nameStart();
  fill();
})();
