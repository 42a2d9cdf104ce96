/* Keeps the whole course on this device and answers from there first. `kept.json` lists the files of the site with
   the start of their SHA-256. Files are kept under their digest, and every page is answered from the list it was
   opened with, so that a page never meets a script of another version. A new version is fetched whole in the
   background; the page opened next is the first of it. */
"use strict";
var SCOPE = self.registration.scope;
var NAME = "onionskin " + SCOPE;
var DIGITS = 16;
var MISSING = '<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>Not kept</title>' +
  '<body><h1>This page is not kept on this device</h1><p>The course itself is. <a href="' + SCOPE + 'index.html">Go to its first page</a>.</p>';
var renewing = Promise.resolve();
var lists = new Map();  // id of an open page -> promise of its list

function has(list, path) { return Object.prototype.hasOwnProperty.call(list, path); }
function key(list, path) { return SCOPE + path + "?" + list[path]; }
function opened() { return caches.open(NAME); }

/* Two lists are kept: "current", which pages are opened with, and "next", laid ready by `renew`. */
function readList(cache, slot) {
  return cache.match(SCOPE + "?" + slot).then(function (kept) { return kept ? kept.json() : null; });
}

function writeList(cache, slot, list) { return cache.put(SCOPE + "?" + slot, new Response(JSON.stringify(list))); }

function hex(bytes) {
  return Array.from(new Uint8Array(bytes), function (byte) { return byte.toString(16).padStart(2, "0"); }).join("");
}

/* The answer made anew, since a redirected one may not be given to a page. */
function whole(list, path, answer, body) {
  return crypto.subtle.digest("SHA-256", body).then(function (bytes) {
    if (hex(bytes).slice(0, DIGITS) !== list[path]) throw new Error(path + " is not of the version listed");
    return new Response(body, { headers: { "Content-Type": answer.headers.get("Content-Type") || "" } });
  });
}

function fetched(list, path) {
  return fetch(SCOPE + path, { cache: "no-cache" }).then(function (answer) {
    if (!answer.ok) throw new Error(path + " is missing");
    return answer.arrayBuffer().then(function (body) { return whole(list, path, answer, body); });
  });
}

function keep(cache, list, path) {
  return cache.match(key(list, path)).then(function (kept) {
    return kept || fetched(list, path).then(function (answer) { return cache.put(key(list, path), answer); });
  });
}

function drop(cache, wanted) {
  return cache.keys().then(function (requests) {
    return Promise.all(requests.map(function (request) { return wanted.has(request.url) || cache.delete(request); }));
  });
}

function keys(list) { return Object.keys(list || {}).map(function (path) { return key(list, path); }); }

/* The new version is laid ready before anything goes, so that no page opened meanwhile falls back to the one before.
   Then what neither it nor the current version needs goes; a page still loading may be of the current one. */
function keepAll(cache, list) {
  return Promise.all(Object.keys(list).map(function (path) { return keep(cache, list, path); })).then(function () {
    return writeList(cache, "next", list);
  }).then(function () {
    return readList(cache, "current");
  }).then(function (current) {
    return drop(cache, new Set(keys(list).concat(keys(current), SCOPE + "?current", SCOPE + "?next")));
  });
}

/* A site without a list is not kept any more, say a preview at the same address; a server that is away changes nothing. */
function fetchList() {
  return fetch(SCOPE + "kept.json", { cache: "no-store" }).then(function (answer) {
    if (answer.status === 404) return self.registration.unregister();
    return answer.json().then(function (list) {
      return opened().then(function (cache) { return keepAll(cache, list); });
    });
  });
}

/* One after the other: two at once could each drop what the other has just fetched. */
function renew() {
  renewing = renewing.catch(function () { return null; }).then(fetchList);
  return renewing;
}

function turnOver(cache) {
  return readList(cache, "next").then(function (next) {
    return next ? writeList(cache, "current", next).then(function () { return next; }) : readList(cache, "current");
  });
}

function listFor(event) {
  if (event.request.mode !== "navigate") {
    return lists.get(event.clientId) || opened().then(function (cache) { return readList(cache, "current"); });
  }
  var list = opened().then(turnOver);
  lists.set(event.resultingClientId, list);
  return list;
}

/* The file an address means: as written, with .html, or the index of a folder; undefined where there is none. */
function pathOf(url, list) {
  var path = url.split(/[?#]/)[0].slice(SCOPE.length);
  return [path, path + ".html", path + "index.html", path + "/index.html"].find(function (name) { return has(list, name); });
}

function missing() { return new Response(MISSING, { status: 404, headers: { "Content-Type": "text/html" } }); }

function online(request) {
  return request.mode === "navigate" ? fetch(request).catch(missing) : fetch(request);
}

function answer(event) {
  return listFor(event).then(function (list) {
    var path = list && pathOf(event.request.url, list);
    return path === undefined || path === null ? null : caches.match(key(list, path), { cacheName: NAME });
  }).then(function (kept) { return kept || online(event.request); });
}

self.addEventListener("install", function (event) { event.waitUntil(renew().then(function () { return self.skipWaiting(); })); });
self.addEventListener("activate", function (event) { event.waitUntil(self.clients.claim()); });
self.addEventListener("message", function (event) {
  if (event.data === "renew") event.waitUntil(renew().catch(function () { return null; }));
});
self.addEventListener("fetch", function (event) {
  var ours = event.request.url.indexOf(SCOPE) === 0 && event.request.method === "GET";
  if (ours) event.respondWith(answer(event));
});
