/* Keeps the course on this device when it is served from https or from this machine, and asks for a newer version
   whenever a page opens. From file://, or inside another site's frame, there is nothing to do. */
(function () {
  "use strict";
  var script = document.currentScript;
  if (!script || !("serviceWorker" in navigator) || window.parent !== window || !served()) return;

  function served() {
    var local = ["localhost", "127.0.0.1", "[::1]"].indexOf(location.hostname) >= 0;
    return location.protocol === "https:" || (location.protocol === "http:" && local);
  }

  navigator.serviceWorker.register(new URL("../sw.js", script.src)).then(function (registration) {
    if (registration.active) registration.active.postMessage("renew");
  }, function () { return null; });
})();
