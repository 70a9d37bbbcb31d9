// What the widget library leaves out for keyboards and screen readers: the radios of one question are one
// tab stop with arrows, a fold says whether it is open, a choice which of it is taken, a question is a group
// with a name, "not sure" says of what, and a picture that is being replaced never shows broken.
(function () {
  "use strict";
  const GROUPS = ".lc-question, .lc-fold, .lc-stepper";
  let radios = 0;

  function set(one, name, value) {
    if (one.getAttribute(name) !== value) { one.setAttribute(name, value); }
  }

  function named(box, role) {
    const radio = box.querySelector("input[type=radio]");
    if (!radio || radio.name) { return; }
    radios += 1;
    box.querySelectorAll("input[type=radio]").forEach(function (one) { one.name = "choice" + radios; });
    const label = box.parentElement.querySelector(":scope > label");
    set(box, "role", role);
    if (label) { set(box, "aria-label", label.textContent.trim()); }
  }

  function look() {
    document.querySelectorAll(".widget-radio-box").forEach(function (box) { named(box, "radiogroup"); });
    document.querySelectorAll(".lc-fold > button").forEach(function (button) {
      set(button, "aria-expanded", String(button.parentElement.classList.contains("lc-open")));
      set(button, "aria-label", button.textContent.trim().replace(/^[\u25B8\u25BE]\s*/, ""));
    });
    document.querySelectorAll(".widget-toggle-buttons button").forEach(function (button) {
      set(button, "aria-pressed", String(button.classList.contains("mod-active")));
    });
    document.querySelectorAll("button.widget-upload").forEach(function (button) {
      set(button, "aria-label", button.title);
    });
    document.querySelectorAll(".lc-field input[type=checkbox]").forEach(function (box) {
      const asked = box.closest(".lc-field").querySelector("label");
      if (asked && !asked.contains(box)) { set(box, "aria-description", asked.textContent.trim()); }
    });
    document.querySelectorAll("button.lc-folded").forEach(function (button) {
      set(button, "aria-expanded", "false");
    });
    document.querySelectorAll(GROUPS).forEach(function (group) {
      const head = group.querySelector("h2, h3, .lc-step-name, :scope > button:not(.lc-folded)");
      set(group, "role", "group");
      if (head) { set(group, "aria-label", head.textContent.trim().replace(/^[\u25B8\u25BE]\s*/, "").replace(/\s+/g, " ")); }
    });
  }

  let waiting = false;
  new MutationObserver(function () {
    if (waiting) { return; }
    waiting = true;
    window.requestAnimationFrame(function () { waiting = false; look(); });
  }).observe(document.documentElement, { childList: true, subtree: true, attributes: true,
    attributeFilter: ["class"] });
  document.addEventListener("error", function (event) {
    if (event.target.tagName === "IMG") { event.target.hidden = true; }
  }, true);
})();
