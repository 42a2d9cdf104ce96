/* A quiz: one form shown at a time, each question checked for itself, and the result kept with its date when
   all are checked. Passed means every must-know question right, and four in five of all. */
(function () {
  "use strict";
  var machines = window.OnionskinMachine, results = window.OnionskinResult;
  if (!machines) return;

  function begin(quiz) {
    var forms = Array.from(quiz.querySelectorAll("[data-form]")), at = 0, facts;
    var questions = Array.from(quiz.querySelectorAll("[data-question]")).map(function (root) {
      return { root: root, part: window.OnionskinQuestion(root), right: null, critical: "critical" in root.dataset };
    });

    function place(name) { return quiz.querySelector("[" + name + "]"); }

    function asked() {
      return questions.filter(function (question) { return question.root.closest("[hidden]") === null; });
    }

    function lock(question, done) {
      question.root.querySelectorAll("input, .os-move").forEach(function (control) { control.disabled = done; });
      question.root.querySelector("[data-check]").hidden = done;
    }

    function clear(question) {
      question.right = null;
      question.part.clear();
      question.root.querySelector("[data-verdict]").textContent = "";
      lock(question, false);
    }

    /* A question whose key depends on something unknown about the machine is left out. */
    function follow(question) {
      var ruled = "when" in question.root.dataset;
      question.part.follow(facts);
      if (!question.part.judged(facts)) question.root.hidden = true;
      else if (!ruled) question.root.hidden = false;
    }

    function restart() {
      forms.forEach(function (form, number) { form.hidden = number !== at; });
      questions.forEach(follow);
      questions.forEach(clear);
      place("data-result").textContent = "";
      place("data-reset").hidden = true;
    }

    function finish(all) {
      var right = all.filter(function (question) { return question.right; }).length;
      var missed = all.filter(function (question) { return question.critical && !question.right; }).length;
      var needed = Math.ceil(Number(quiz.dataset.pass) * all.length - 1e-9);
      var result = {
        date: new Date().toISOString(), machine: machines.current().id, form: forms[at].dataset.form,
        right: right, of: all.length, missed: missed, passed: missed === 0 && right >= needed,
        questions: quiz.dataset.questions
      };
      results.keep(quiz.dataset.quiz, result);
      place("data-result").textContent = results.words(result, needed);
    }

    function check(question) {
      var verdict = question.root.querySelector("[data-verdict]");
      if (!question.part.answered()) {
        verdict.textContent = "Choose an answer first.";
        return;
      }
      question.right = question.part.check(facts);
      verdict.textContent = question.right ? "Right." : "Not right. Read why before you go on.";
      lock(question, true);
      place("data-reset").hidden = false;
      var all = asked();
      if (all.every(function (other) { return other.right !== null; })) finish(all);
    }

    questions.forEach(function (question) {
      question.root.querySelector("[data-check]").addEventListener("click", function () { check(question); });
      question.root.querySelector("details[data-answer]").hidden = true;
    });
    place("data-reset").addEventListener("click", restart);
    place("data-other-form").hidden = forms.length < 2;
    place("data-other-form").addEventListener("click", function () {
      at = (at + 1) % forms.length;
      restart();
      quiz.querySelector("h2").scrollIntoView();
    });
    machines.watch(function (machine) {
      facts = machine.facts;
      restart();
    });
  }

  document.querySelectorAll("[data-quiz]").forEach(begin);
})();
