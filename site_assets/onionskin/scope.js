/* The names the theme's bundle expects from an inline script; here a file, since the content policy
   allows no inline script. `data-scope` is the way from this page to the site's root. */
(function () {
  "use strict";
  var scope = new URL(document.currentScript.dataset.scope, location);

  window.__md_scope = scope;

  window.__md_hash = function (text) {
    return Array.from(text).reduce(function (sum, letter) {
      return (sum << 5) - sum + letter.charCodeAt(0);
    }, 0);
  };

  window.__md_get = function (name, storage, from) {
    try {
      return JSON.parse((storage || localStorage).getItem((from || scope).pathname + "." + name));
    } catch (refused) {
      return null;
    }
  };

  window.__md_set = function (name, value, storage, from) {
    try {
      (storage || localStorage).setItem((from || scope).pathname + "." + name, JSON.stringify(value));
    } catch (refused) {
      return;
    }
  };
})();
