// Keeps a page to its kernel. The library tries for two minutes and gives up; here the page goes on
// trying as long as its tab is open, says so, and says it when there is nothing left to come back to.
(function () {
  "use strict";
  const AWAY = "No connection to the program that works this page out. Leave the tab open: what you "
    + "entered is kept, and the page goes on by itself when the connection is back. If the program was "
    + "stopped, start it again: a new page begins empty.";
  const GONE = "The work behind this page has ended. What stands here can be read, but no longer "
    + "changed. Reload the page to begin again: it begins empty.";
  const LOST = "The program that works this page out does not answer. It is busy, or it has ended: if this "
    + "stays, save nothing more here and start the page again. What stands here can still be read.";
  const EVERY = 3000, PATIENCE = 9000;
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

  // A program that was killed leaves its channel open: only asking it something tells.
  async function ask() {
    if (!kernel || kernel.connectionStatus !== "connected" || place.textContent === GONE) { return; }
    const late = window.setTimeout(function () { say(LOST); }, PATIENCE);
    try {
      await kernel.requestKernelInfo();
      if (place.textContent === LOST) { say(""); }
    } catch (error) {
      lost += 1;
    } finally {
      window.clearTimeout(late);
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
    window.setInterval(ask, 2 * PATIENCE);
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
