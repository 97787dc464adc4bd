/* The timed hip routine: the move now, seconds left, pause, easier, stop. What was done goes through the
   visit's outbox, so that it survives a dropped connection; stopping early keeps no reason.

   A move with two sides is two stretches; the page's clock is asked, so that a sleeping tab loses no time. */
(() => {
  "use strict";
  const clock = document.getElementById("routine-clock");
  const form = document.getElementById("run");
  if (!clock || !form) return;
  const $ = (id) => document.getElementById(id);
  const items = [...document.querySelectorAll("#moves li")];
  const stretches = items.flatMap((item) => {
    const sides = Number(item.dataset.sides);
    return Array.from({ length: sides }, (_, side) => ({ item, side, sides, seconds: Number(item.dataset.seconds) }));
  });
  const seated = $("run-version").value === "seated";
  const TICK_MS = 200;
  let at = 0; // which stretch
  let gone = 0; // milliseconds of this stretch that are over
  let whole = 0; // milliseconds of moving altogether
  let since = 0; // when the clock was set going, 0 while it stands
  let easier = false;
  let eased = false;
  let over = false;
  let timer = 0;

  form.dataset.trial = "routine"; // from here on the outbox sends it
  clock.hidden = false;

  const version = () => (seated ? "seated" : easier ? "easier" : "usual");
  const text = (item, what) => {
    const place = item.querySelector(`[data-form="${what}"]`);
    return (place.querySelector("span:last-child") ?? place).textContent.trim();
  };
  const spent = () => gone + (since ? Date.now() - since : 0);

  const put = (id, words) => {
    if ($(id).textContent !== words) $(id).textContent = words;
  };

  const show = () => {
    const now = stretches[at];
    const left = Math.max(0, Math.ceil((now.seconds * 1000 - spent()) / 1000));
    put("clock-left", String(left));
    $("clock-left").setAttribute("aria-label", `${left} seconds left`);
    const name = now.item.querySelector("b").textContent;
    put("clock-name", now.sides > 1 ? `${name}, ${now.side ? "the other side" : "one side"}` : name);
    put("clock-how", text(now.item, version()));
    put("clock-care", now.item.querySelector("[data-care]").textContent.trim());
    put("clock-at", `Move ${items.indexOf(now.item) + 1} of ${items.length}`);
    put("clock-go", since ? "Pause" : whole + gone > 0 ? "Go on" : "Start");
    const begun = whole + gone > 0 || since > 0;
    $("clock-stop").hidden = !begun;
    $("clock-skip").hidden = !begun;
    for (const item of items) item.classList.toggle("is-now", begun && item === now.item);
  };

  const stand = () => {
    if (!since) return;
    gone += Date.now() - since;
    since = 0;
    clearInterval(timer);
  };

  const go = () => {
    since = Date.now();
    if (easier) eased = true;
    timer = setInterval(tick, TICK_MS);
    show();
  };

  const next = () => {
    whole += Math.min(gone, stretches[at].seconds * 1000);
    gone = 0;
    at += 1;
  };

  const tick = () => {
    if (spent() < stretches[at].seconds * 1000) {
      show();
      return;
    }
    stand();
    next();
    if (at === stretches.length) end("done");
    else go();
  };

  const end = (outcome) => {
    if (over) return;
    stand();
    over = true;
    const seconds = Math.round((whole + (at < stretches.length ? gone : 0)) / 1000);
    $("run-outcome").value = outcome;
    $("run-version").value = seated ? "seated" : eased ? "easier" : "usual";
    $("run-seconds").value = String(seconds);
    const time = new Date();
    $("run-clock").value = [time.getHours(), time.getMinutes()].map((n) => String(n).padStart(2, "0")).join(":");
    form.requestSubmit();
    for (const item of items) item.classList.remove("is-now");
    for (const id of ["clock-go", "clock-skip", "clock-easier", "clock-stop"]) $(id).hidden = true;
    put("clock-at", "");
    put("clock-left", "");
    put("clock-how", "");
    put("clock-care", "");
    put("clock-name", outcome === "done" ? "Done." : "Ended here.");
    put(
      "clock-said",
      outcome === "done"
        ? "Rest a minute, then set feet and bar anew."
        : "That is kept, without a reason. Do not repeat it today; whoever has pain asks a licensed practitioner first.",
    );
  };

  $("clock-go").addEventListener("click", () => {
    if (since) stand();
    else {
      go();
      return;
    }
    show();
  });
  $("clock-skip").addEventListener("click", () => {
    const item = stretches[at].item;
    const moving = since > 0;
    stand();
    while (at < stretches.length && stretches[at].item === item) next();
    if (at === stretches.length) end("done");
    else if (moving) go();
    else show();
  });
  $("clock-easier").addEventListener("click", () => {
    easier = !easier;
    if (easier && since) eased = true;
    $("clock-easier").setAttribute("aria-pressed", String(easier));
    show();
  });
  $("clock-stop").addEventListener("click", () => end("ended early"));
  if (seated) $("clock-easier").hidden = true;
  show();
})();
