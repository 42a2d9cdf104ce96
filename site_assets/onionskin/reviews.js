/* The reviews page: what is due today, the record by lesson, and the dates as a calendar file (RFC 5545). */
(function () {
  "use strict";
  var schedule = window.OnionskinSchedule, results = window.OnionskinResult, store = window.OnionskinStore;

  function words(date) { return date.toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" }); }

  function plain(date) {
    return String(date.getFullYear() * 10000 + (date.getMonth() + 1) * 100 + date.getDate());
  }

  function begin(page) {
    var days = page.dataset.days.split(" ").map(Number), today = schedule.today();
    var rows = Array.from(page.querySelectorAll("[data-review]"));

    function planOf(row) { return schedule.plan(row.dataset.review, days); }

    function fill(row) {
      var plan = planOf(row);
      row.querySelector("[data-passed]").textContent = plan ? words(plan.first) : "";
      row.querySelectorAll("[data-day]").forEach(function (cell, at) {
        var review = plan && plan.reviews[at];
        cell.textContent = review ? (review.done ? "done" : words(review.on)) : "";
        cell.classList.toggle("os-due", Boolean(review) && review === plan.next && review.on <= today);
      });
    }

    function isDue(plan) { return Boolean(plan && plan.next && plan.next.on <= today); }

    /* Passed, and its questions have changed since. */
    function isStale(row) {
      var kept = store.read("quiz." + row.dataset.review, results.good);
      return Boolean(kept && planOf(row)) && results.isStale(kept, row.dataset.questions);
    }

    function due() {
      return rows.filter(function (row) { return isDue(planOf(row)) || isStale(row); });
    }

    function line(row) {
      var item = document.createElement("li"), plan = planOf(row);
      var why = isDue(plan) ? ", due since " + words(plan.next.on) : ", since its questions have changed";
      item.append(row.querySelector("a").cloneNode(true), why);
      return item;
    }

    function show() {
      rows.forEach(fill);
      var open = due(), any = rows.some(planOf);
      var list = page.querySelector("[data-due]");
      list.replaceChildren.apply(list, open.map(line));
      page.querySelector("[data-none-due]").hidden = open.length > 0;
      page.querySelector("[data-none-due]").textContent = any ? "Nothing is due today." : "You have not passed a quiz on this device yet.";
      page.querySelector("[data-due-part]").hidden = false;
      page.querySelector("[data-calendar]").hidden = !any;
      page.querySelector("[data-forget]").hidden = !any;
    }

    function event(row, review) {
      var title = row.querySelector("a").textContent.replace(/[\\;,]/g, "\\$&");
      return ["BEGIN:VEVENT", "UID:" + row.dataset.review + "-" + review.day + "@onionskin", "DTSTAMP:" + plain(today) + "T000000Z",
        "DTSTART;VALUE=DATE:" + plain(review.on), "SUMMARY:Review: " + title, "END:VEVENT"];
    }

    function calendar() {
      var lines = rows.filter(planOf).flatMap(function (row) {
        return planOf(row).reviews.filter(function (review) { return !review.done; }).flatMap(function (review) { return event(row, review); });
      });
      return ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Onionskin//Reviews//EN"].concat(lines, "END:VCALENDAR", "").join("\r\n");
    }

    function save() {
      var file = document.createElement("a");
      file.href = URL.createObjectURL(new Blob([calendar()], { type: "text/calendar" }));
      file.download = "reviews.ics";
      file.click();
      URL.revokeObjectURL(file.href);
    }

    function forget() {
      if (!window.confirm("Forget every pass kept on this device?")) return;
      rows.forEach(function (row) { schedule.forget(row.dataset.review); });
      show();
    }

    page.querySelector("[data-calendar]").addEventListener("click", save);
    page.querySelector("[data-forget]").addEventListener("click", forget);
    show();
  }

  document.querySelectorAll("[data-review-page]").forEach(begin);
})();
