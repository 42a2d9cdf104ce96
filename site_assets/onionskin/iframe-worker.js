/* A stand-in for Worker on file://, where browsers refuse real workers: the script runs in a hidden frame.
   After the idea and interface of iframe-worker 1.0.4 (MIT, see iframe-worker.LICENSE.txt), written anew
   without inline script, which the content policy forbids. The offline search looks for this file's name. */
(function () {
  "use strict";
  if (location.protocol !== "file:") return;

  function emptyWindow(frame) {
    frame.hidden = true;
    frame.title = "Search";
    document.body.appendChild(frame);
    // Opening the document keeps it: some browsers replace a frame's first empty page a moment later.
    frame.contentDocument.open();
    frame.contentDocument.write("<!doctype html><title>Search</title><body>");
    frame.contentDocument.close();
    return frame.contentWindow;
  }

  function load(inner, address) {
    return new Promise(function (resolve, reject) {
      var script = inner.document.createElement("script");
      script.src = address;
      script.onload = resolve;
      script.onerror = function () { reject(new Error("cannot load " + address)); };
      inner.document.body.appendChild(script);
    });
  }

  function inOrder(inner, addresses) {
    return addresses.reduce(function (before, address) {
      return before.then(function () { return load(inner, address); });
    }, Promise.resolve());
  }

  class FrameWorker extends EventTarget {
    constructor(address) {
      super();
      this.frame = document.createElement("iframe");
      this.inner = emptyWindow(this.frame);
      this.inner.postMessage = (data) => this.tell(new MessageEvent("message", { data: structuredClone(data) }));
      this.inner.importScripts = (...addresses) => inOrder(this.inner, addresses);
      this.ready = load(this.inner, address);
      this.ready.catch((error) => this.tell(new ErrorEvent("error", { message: error.message, error: error })));
    }

    tell(event) {
      this.dispatchEvent(event);
      if (this["on" + event.type]) this["on" + event.type](event);
    }

    postMessage(data) {
      this.ready.then(() => {
        this.inner.dispatchEvent(new MessageEvent("message", { data: structuredClone(data) }));
      }, () => undefined);
    }

    terminate() {
      this.frame.remove();
    }
  }

  window.Worker = FrameWorker;
})();
