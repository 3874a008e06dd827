"use strict";
// Loaded before Playwright's own server. That describes the whole page in words each time that
// it looks for what is not there yet, three times within 20 ms, for a message that is shown only
// if it never comes: a quarter of what a page that is waited for costs. test_waiting.py sees
// whether this still finds its place.
const Module = require("node:module");

const DESCRIBES = "ariaSnapshotForExpectFailure(element, options) {";
const compile = Module.prototype._compile;

Module.prototype._compile = function (text, file, ...more) {
  const brief = file.endsWith("coreBundle.js") ? text.replace(DESCRIBES, '$& return "";') : text;
  return compile.call(this, brief, file, ...more);
};
