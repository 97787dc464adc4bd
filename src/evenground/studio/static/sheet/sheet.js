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
        document.dispatchEvent(new CustomEvent("evenground:resting"));
        window.location.assign("/unlock?next=" + encodeURIComponent(location.pathname + location.search));
      }
    };
    window.setInterval(look, 15000);
    document.addEventListener("visibilitychange", look);
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
