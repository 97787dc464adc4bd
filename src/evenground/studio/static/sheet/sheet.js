// The frame's own few steps: locking after a while without a touch, closing the menu, keeping focus after a swap.
"use strict";

(function () {
  const minutes = Number(document.body.dataset.idleMinutes || 0);

  function lockAfterRest() {
    let last = Date.now();
    const touched = function () { last = Date.now(); };
    ["pointerdown", "keydown", "input", "scroll"].forEach(function (what) {
      document.addEventListener(what, touched, { passive: true, capture: true });
    });
    // A closed lid stops timers: the clock is asked again whenever the page comes back.
    const look = function () {
      if (Date.now() - last > minutes * 60000) {
        last = Date.now();
        lock();
      }
    };
    window.setInterval(look, 15000);
    document.addEventListener("visibilitychange", look);
  }

  // The server locks the session; the page is left only once it has, so that going back shows nothing either.
  async function lock() {
    const headers = JSON.parse(document.body.getAttribute("hx-headers") || "{}");
    const here = encodeURIComponent(location.pathname + location.search);
    try {
      const answer = await fetch("/lock", { method: "POST", headers: headers, redirect: "manual" });
      if (answer.status < 500) { window.location.replace("/unlock?next=" + here); }
    } catch (gone) {
      document.documentElement.dataset.locked = "true";
    }
  }

  function closeMenus(event) {
    document.querySelectorAll("details.menu[open]").forEach(function (menu) {
      const away = event.type === "click" ? !menu.contains(event.target) : event.key === "Escape";
      if (away) {
        menu.open = false;
        if (event.type !== "click") { menu.querySelector("summary").focus(); }
      }
    });
  }

  if (minutes > 0) { lockAfterRest(); }
  document.addEventListener("click", closeMenus);
  document.addEventListener("keydown", closeMenus);
})();
