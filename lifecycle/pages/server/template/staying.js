// Keeps a page to its kernel. The library tries for two minutes and gives up; here the page goes on
// trying as long as its tab is open, says so, and says it when there is nothing left to come back to.
// What is asked and not answered yet makes the page wait: its answer is grey; after some seconds it is said.
(function () {
  "use strict";
  const SAID = {{ "pages.staying" | words | tojson }};
  const LARGEST = 8e6;
  const EVERY = 3000, EARLY = 1500, GREY = 150;
  const place = document.getElementById("connection");
  const asked = new Map();
  let kernel = null, busy = false;

  function say(text) {
    if (place.textContent === SAID.gone) { return; }
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
        say(SAID.gone);
      } else if (!connected) {
        kernel.reconnect().catch(function () {});
      } else if (waited() > EVERY) {
        say(SAID.late);
      }
    } catch (error) {
      say(SAID.away);
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
      if (size > LARGEST) { window.alert(SAID.too_large.replace("{most}", LARGEST / 1e6)); }
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
      if (status === "dead" || status === "restarting" || status === "autorestarting") { say(SAID.gone); }
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
