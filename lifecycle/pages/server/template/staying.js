// Keeps a page to its kernel. The library tries for two minutes and gives up; here the page goes on
// trying as long as its tab is open, says so, and says it when there is nothing left to come back to.
(function () {
  "use strict";
  const AWAY = "No connection to the program that works this page out. Leave the tab open: what you "
    + "entered is kept, and the page goes on by itself when the connection is back. If the program was "
    + "stopped, start it again: a new page begins empty.";
  const GONE = "The work behind this page has ended. What stands here can be read, but no longer "
    + "changed. Reload the page to begin again: it begins empty.";
  const EVERY = 3000;
  const place = document.getElementById("connection");
  let kernel = null, busy = false;

  function say(text) {
    if (place.textContent === GONE) { return; }
    place.textContent = text;
    place.hidden = !text;
  }

  async function look() {
    if (busy || !kernel || kernel.connectionStatus === "connected") { return; }
    busy = true;
    try {
      const address = kernel.serverSettings.baseUrl + "api/kernels/" + kernel.id;
      const answer = await fetch(address, { cache: "no-store", signal: AbortSignal.timeout(EVERY) });
      if (answer.ok) {
        kernel.reconnect().catch(function () {});
      } else {
        say(GONE);
      }
    } catch (error) {
      say(AWAY);
    } finally {
      busy = false;
    }
  }

  function follow(found) {
    kernel = found;
    kernel.connectionStatusChanged.connect(function (_, status) {
      if (status === "connected") { say(""); }
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
