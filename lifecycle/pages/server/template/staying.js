// Keeps a page to its kernel. The library tries for two minutes and gives up; here the page goes on
// trying as long as its tab is open, says so, and says it when there is nothing left to come back to.
// What is asked and not answered yet makes the page wait: its answer is grey; after some seconds it is said.
(function () {
  "use strict";
  const AWAY = "No connection to the program that works this page out. Leave the tab open: what you "
    + "entered is kept, and the page goes on by itself when the connection is back. If the program was "
    + "stopped, start it again: a new page begins empty.";
  const GONE = "The work behind this page has ended. What stands here can be read, but no longer "
    + "changed. Reload the page to begin again: it begins empty.";
  const LATE = "No reply yet. What stands here is the answer to what was entered before.";
  const TOO_LARGE = "This file is too large for the page: it takes up to 8 megabytes.";
  const LARGEST = 8e6;
  const EVERY = 3000, EARLY = 1500, GREY = 150;
  const place = document.getElementById("connection");
  const asked = new Map();
  let kernel = null, busy = false;

  function say(text) {
    if (place.textContent === GONE) { return; }
    place.textContent = text;
    place.hidden = !text;
  }

  function waited() {
    return performance.now() - Math.min(...asked.values());
  }

  async function look() {
    const connected = kernel && kernel.connectionStatus === "connected";
    if (busy || !kernel || (connected && !(waited() > EARLY))) { return; }
    busy = true;
    try {
      const address = kernel.serverSettings.baseUrl + "api/kernels/" + kernel.id;
      const answer = await fetch(address, { cache: "no-store", signal: AbortSignal.timeout(EARLY) });
      if (!answer.ok) {
        say(GONE);
      } else if (!connected) {
        kernel.reconnect().catch(function () {});
      } else if (waited() > EVERY) {
        say(LATE);
      }
    } catch (error) {
      say(AWAY);
    } finally {
      busy = false;
    }
  }

  function wait() {
    document.body.classList.toggle("lc-waiting", waited() > GREY);
    if (waited() > EARLY) { look(); }
  }

  function passed(_, passing) {
    const id = passing.direction === "send" ? passing.msg.header.msg_id : passing.msg.parent_header.msg_id;
    if (passing.direction !== "send") {
      asked.delete(id);
      if (!asked.size && !place.hidden) { say(""); }
    } else if (passing.msg.header.msg_type === "comm_msg") {
      asked.set(id, performance.now());
      const size = (passing.msg.buffers || []).reduce(function (sum, one) { return sum + one.byteLength; }, 0);
      if (size > LARGEST) { window.alert(TOO_LARGE); }
    }
  }

  function follow(found) {
    kernel = found;
    kernel.anyMessage.connect(passed);
    window.setInterval(wait, 100);
    kernel.connectionStatusChanged.connect(function (_, status) {
      if (status === "connected") { asked.clear(); say(""); }
    });
    kernel.statusChanged.connect(function (_, status) {
      if (status === "dead" || status === "restarting" || status === "autorestarting") { say(GONE); }
    });
    window.setInterval(look, EVERY);
    window.addEventListener("online", look);
    document.addEventListener("visibilitychange", look);
  }

  const waiting = window.setInterval(function () {
    const app = window.jupyterapp;
    const found = app && app.widgetManager && app.widgetManager.kernel;
    if (found) {
      window.clearInterval(waiting);
      follow(found);
    }
  }, 200);
})();
