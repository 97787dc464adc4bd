/* Points on a photo: dragged by touch or mouse, moved by arrow keys, undone; every move is kept and answered.

   A point is found (by the program), placed (by a person) or asked (nobody yet: it does not count).
   Moves wait in this browser, one after the other, until the studio has answered that they are stored. */
(() => {
  "use strict";
  const box = document.getElementById("points");
  if (!box) return;
  const sheet = document.getElementById("check");
  const photo = box.querySelector(".points-photo");
  const loupe = box.querySelector(".points-loupe");
  const says = document.getElementById("points-at");
  const numbers = document.getElementById("points-numbers");
  const name = box.querySelector(".points-name");
  const wide = Number(photo.dataset.width);
  const tall = Number(photo.dataset.height);
  const NEAREST = 12; // how many times a photo may be enlarged
  const REACH = 26; // screen pixels within which a point is taken hold of
  const PAUSE_MS = 300;
  const SLOWEST_MS = 15000;
  const KEPT = `evenground.points.${sheet.dataset.visit}.${box.dataset.view}`;
  const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
  const points = new Map();
  const fingers = new Map();
  const done = [];
  const undone = [];
  let queue = [];
  let busy = false;
  let tries = 0;
  let seen = { x: 0, y: 0, w: wide, h: tall };
  let held = null; // what a finger or the mouse has hold of
  let chosen = null;
  let typing = null; // a series of arrow keys that is one move
  let pinch = null;

  // Drawing ------------------------------------------------------------------------------------------------

  const pixel = () => 1 / (photo.getScreenCTM()?.a || 1); // one screen pixel, in the photo's
  const place = (event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(photo.getScreenCTM().inverse());
  const inside = (x, y) => [Math.min(Math.max(x, 0), wide), Math.min(Math.max(y, 0), tall)];
  const shape = (name, more) => {
    const made = document.createElementNS("http://www.w3.org/2000/svg", name);
    for (const [key, value] of Object.entries(more)) made.setAttribute(key, value);
    return made;
  };

  const draw = (point) => {
    const { mark, x, y, state, label, found } = point;
    mark.setAttribute("transform", `translate(${x} ${y})`);
    mark.classList.remove("is-found", "is-placed", "is-asked");
    mark.classList.add(`is-${state}`);
    const where = state === "asked" ? "not placed yet" : `${x.toFixed(0)} to the right, ${y.toFixed(0)} down`;
    mark.setAttribute("aria-label", `${label}, ${where}`);
    point.was.toggleAttribute("hidden", !(found && state === "placed"));
    for (const axis of "xy") {
      const field = document.getElementsByName(`${axis}:${point.name}`)[0];
      if (field) field.value = state === "asked" ? "" : point[axis].toFixed(1);
    }
  };

  const drawLines = () => {
    for (const line of photo.querySelectorAll("[data-chain]")) {
      const ends = line.dataset.chain.split("|").map((name) => points.get(name));
      const there = ends.filter((point) => point && point.state !== "asked");
      line.setAttribute("points", there.map((point) => `${point.x},${point.y}`).join(" "));
    }
  };

  const drawSizes = () => {
    const one = pixel();
    for (const { mark, was } of points.values()) {
      mark.querySelector(".dot").setAttribute("r", 6 * one);
      mark.querySelector(".reach").setAttribute("r", 20 * one);
      was.setAttribute("r", 6 * one);
    }
    drawName();
  };

  const look = (x, y, w) => {
    const across = Math.min(Math.max(w, wide / NEAREST), wide);
    const down = (across * tall) / wide;
    seen = { w: across, h: down, x: Math.min(Math.max(x, 0), wide - across), y: Math.min(Math.max(y, 0), tall - down) };
    photo.setAttribute("viewBox", `${seen.x} ${seen.y} ${seen.w} ${seen.h}`);
    photo.classList.toggle("is-near", across < wide);
    drawSizes();
  };

  /* Enlarge by a factor around a place that stays where it is. */
  const zoom = (factor, x = seen.x + seen.w / 2, y = seen.y + seen.h / 2) => {
    const w = Math.min(Math.max(seen.w / factor, wide / NEAREST), wide);
    look(x - ((x - seen.x) * w) / seen.w, y - ((y - seen.y) * w) / seen.w, w);
  };

  const magnify = (point, event) => {
    loupe.toggleAttribute("hidden", !point);
    if (!point) return;
    const r = 22 * pixel();
    const { x, y } = point;
    loupe.setAttribute("viewBox", `${x - r} ${y - r} ${2 * r} ${2 * r}`);
    loupe.querySelector("path").setAttribute("d", `M${x - r / 2} ${y}H${x + r / 2}M${x} ${y - r / 2}V${y + r / 2}`);
    const edge = photo.getBoundingClientRect();
    loupe.classList.toggle("is-left", event.clientX > edge.left + edge.width / 2);
  };

  const tell = (text) => {
    if (says.textContent !== text) says.textContent = text;
  };

  /* The chosen point's name stands beside it, on the side that has room. */
  const drawName = () => {
    const one = pixel();
    name.textContent = chosen ? chosen.label : "";
    if (!chosen) return;
    const right = chosen.x < seen.x + seen.w / 2;
    name.setAttribute("x", chosen.x + (right ? 26 : -26) * one);
    name.setAttribute("y", chosen.y + 5 * one);
    name.setAttribute("text-anchor", right ? "start" : "end");
    name.setAttribute("font-size", 16 * one);
    name.style.fontSize = `${16 * one}px`;
    name.style.strokeWidth = 4 * one;
  };

  const choose = (point) => {
    chosen?.mark.classList.remove("is-held");
    chosen = point;
    chosen?.mark.classList.add("is-held");
    drawName();
    hands();
  };

  /* Ask for the next point that nobody placed yet, from the head down. */
  const ask = () => {
    const next = [...points.values()].find((point) => point.state === "asked");
    if (!next) return;
    choose(next);
    tell(`Where is it: ${next.label}? Tap it, or drag its mark there.`);
  };

  const hands = () => {
    const able = { undo: done.length, redo: undone.length, back: chosen?.state === "placed" };
    for (const [deed, may] of Object.entries(able)) box.querySelector(`[data-do=${deed}]`).disabled = !may;
    if (chosen) box.querySelector("[data-do=back]").textContent = chosen.found ? "Back to where it was found" : "Take this point off";
  };

  // Moving -------------------------------------------------------------------------------------------------

  const at = ({ x, y, state }) => ({ x, y, state });

  const put = (point, there) => {
    Object.assign(point, there);
    draw(point);
    drawLines();
    if (point === chosen) drawName();
  };

  const slide = (point, x, y) => {
    const [right, down] = inside(x, y);
    put(point, { x: Math.round(right * 10) / 10, y: Math.round(down * 10) / 10, state: "placed" });
    tell(`${point.label}: ${point.x.toFixed(0)} to the right, ${point.y.toFixed(0)} down`);
  };

  /* A move is over: remember how to undo it, and send where the point counts now. */
  const keep = (point, from) => {
    const to = at(point);
    if (from.state === to.state && from.x === to.x && from.y === to.y) return;
    done.push({ name: point.name, from, to });
    undone.length = 0;
    hands();
    send(point, from);
  };

  const step = (from, to, way) => {
    const move = from.pop();
    if (!move) return;
    const point = points.get(move.name);
    const before = at(point);
    to.push(move);
    put(point, move[way]);
    choose(point);
    tell(`${point.label}: ${way === "from" ? "undone" : "done again"}`);
    send(point, before);
  };

  const back = (point) => {
    const from = at(point);
    put(point, point.found ? { ...point.found, state: "found" } : { ...from, state: "asked" });
    tell(`${point.label}: ${point.found ? "where it was found" : "taken off"}`);
    keep(point, from);
  };

  const endTyping = () => {
    if (!typing) return;
    clearTimeout(typing.timer);
    const { point, from } = typing;
    typing = null;
    keep(point, from);
  };

  // Sending ------------------------------------------------------------------------------------------------

  const remember = () => {
    try {
      if (queue.length) localStorage.setItem(KEPT, JSON.stringify(queue));
      else localStorage.removeItem(KEPT);
    } catch {
      /* the page itself still holds them */
    }
  };

  const send = (point, from) => {
    const there = point.state === "placed" ? { x_px: point.x, y_px: point.y } : { x_px: null, y_px: null };
    const body = { id: window.newId(), at: new Date().toISOString(), view: box.dataset.view, point: point.name, ...there };
    queue.push({ body, from });
    remember();
    flush();
  };

  const state = (text, waits = false) => {
    const saved = document.getElementById("saved");
    if (!saved) return;
    saved.textContent = text;
    saved.classList.toggle("is-waiting", waits);
  };

  const flush = async () => {
    if (busy || !queue.length) return;
    busy = true;
    const { body, from } = queue[0];
    state(tries ? `waiting: ${queue.length} not saved yet, trying again` : "saving", tries > 0);
    const reply = await posted(body);
    busy = false;
    if (reply === null) {
      tries += 1;
      setTimeout(flush, Math.min(SLOWEST_MS, 500 * 2 ** Math.min(tries, 6)));
      return;
    }
    tries = 0;
    queue.shift();
    remember();
    if (reply.ok) {
      if (!queue.length) numbers.innerHTML = reply.html;
      state(queue.length ? "saving" : "saved");
    } else {
      if (from) put(points.get(body.point), from);
      tell(reply.sentence ?? "This was not saved.");
      state(queue.length ? "saving" : "saved");
    }
    flush();
  };

  /* The answer, or null for "not now". */
  const posted = async (body) => {
    try {
      const answer = await fetch(box.dataset.to, {
        method: "POST",
        headers: { Accept: "application/json", "Content-Type": "application/json", "X-CSRFToken": sheet.dataset.csrf },
        body: JSON.stringify(body),
      });
      if ([401, 403, 429].includes(answer.status) || answer.status >= 500) return null;
      return { ok: answer.ok, ...(await answer.json()) };
    } catch {
      return null;
    }
  };

  document.body.addEventListener("look-again", async () => {
    const answer = await fetch(box.dataset.numbers).catch(() => null);
    if (answer?.ok && !queue.length) numbers.innerHTML = await answer.text();
  });

  // Touch and mouse ------------------------------------------------------------------------------------------

  const nearest = (event) => {
    const { x, y } = place(event);
    const far = (point) => Math.hypot(point.x - x, point.y - y);
    const [first] = [...points.values()].sort((a, b) => far(a) - far(b));
    return first && far(first) <= REACH * pixel() ? first : null;
  };

  const letGo = (kept) => {
    if (!held) return;
    const { point, from, moved } = held;
    held = null;
    magnify(null);
    if (!point) return;
    if (kept && moved) keep(point, from);
    else put(point, from);
  };

  photo.addEventListener("pointerdown", (event) => {
    if (event.button > 0) return;
    endTyping();
    fingers.set(event.pointerId, event);
    if (fingers.size > 1) {
      letGo(false);
      pinch = apart();
      return;
    }
    const point = nearest(event);
    const { x, y } = place(event);
    held = { point, from: point && at(point), x, y, seen: { ...seen }, start: event, moved: false };
    photo.setPointerCapture(event.pointerId);
    if (!point) return;
    event.preventDefault();
    if (point.state === "asked" && chosen?.state === "asked") return; // a tap here may be meant for the chosen one
    point.mark.focus({ preventScroll: true });
    choose(point);
  });

  /* A finger on a point, or two anywhere, are ours; one beside the points still scrolls the page. */
  photo.addEventListener(
    "touchstart",
    (event) => {
      if (event.touches.length > 1 || nearest(event.touches[0])) event.preventDefault();
    },
    { passive: false },
  );

  const apart = () => {
    const [one, other] = [...fingers.values()];
    const middle = { clientX: (one.clientX + other.clientX) / 2, clientY: (one.clientY + other.clientY) / 2 };
    return { far: Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY), middle };
  };

  photo.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId)) return;
    fingers.set(event.pointerId, event);
    if (pinch && fingers.size > 1) {
      const now = apart();
      const { x, y } = place(pinch.middle);
      const to = place(now.middle);
      look(seen.x + x - to.x, seen.y + y - to.y, seen.w);
      const { x: cx, y: cy } = place(now.middle);
      zoom(now.far / Math.max(pinch.far, 1), cx, cy);
      pinch = now;
      return;
    }
    if (!held) return;
    const moved = Math.hypot(event.clientX - held.start.clientX, event.clientY - held.start.clientY);
    if (!held.moved && moved < 3) return;
    if (!held.moved && held.point) choose(held.point);
    held.moved = true;
    if (held.point) {
      const { x, y } = place(event);
      slide(held.point, held.from.x + x - held.x, held.from.y + y - held.y);
      magnify(held.point, event);
    } else if (seen.w < wide) {
      const one = pixel();
      look(
        held.seen.x - (event.clientX - held.start.clientX) * one,
        held.seen.y - (event.clientY - held.start.clientY) * one,
        seen.w,
      );
    }
  });

  const up = (event) => {
    if (!fingers.delete(event.pointerId)) return;
    if (fingers.size < 2) pinch = null;
    const over = event.type === "pointerup";
    const tapped = held && !held.moved && over && chosen?.state === "asked" && (held.point?.state ?? "asked") === "asked";
    const dropped = held?.moved && held.from?.state === "asked" && over;
    if (tapped) {
      const from = at(chosen);
      slide(chosen, held.x, held.y);
      keep(chosen, from);
      held = null;
    }
    letGo(over);
    hands();
    if (tapped || dropped) ask();
  };
  photo.addEventListener("pointerup", up);
  photo.addEventListener("pointercancel", up);

  /* Turned away from the photo, the wheel still turns the page once the whole photo shows. */
  photo.addEventListener(
    "wheel",
    (event) => {
      if (event.deltaY > 0 && seen.w >= wide) return;
      event.preventDefault();
      const { x, y } = place(event);
      zoom(2 ** (-event.deltaY / 300), x, y);
    },
    { passive: false },
  );

  // Keys and buttons -----------------------------------------------------------------------------------------

  const deeds = {
    undo: () => step(done, undone, "from"),
    redo: () => step(undone, done, "to"),
    nearer: () => zoom(1.6, chosen?.x, chosen?.y),
    farther: () => zoom(1 / 1.6),
    whole: () => look(0, 0, wide),
    back: () => chosen && back(chosen),
  };

  box.addEventListener("click", (event) => {
    const button = event.target.closest("[data-do]");
    if (!button) return;
    endTyping();
    deeds[button.dataset.do]();
    hands();
  });

  box.addEventListener("keydown", (event) => {
    const key = event.key.toLowerCase();
    const undo = (event.ctrlKey || event.metaKey) && key === "z";
    const redo = (event.ctrlKey || event.metaKey) && (key === "y" || (key === "z" && event.shiftKey));
    if (undo || redo) {
      event.preventDefault();
      endTyping();
      deeds[redo ? "redo" : "undo"]();
      hands();
      return;
    }
    const point = points.get(event.target.dataset?.point);
    if (!point) return;
    if (key === "+" || key === "-") zoom(key === "+" ? 1.6 : 1 / 1.6, point.x, point.y);
    else if (key === "delete" && point.state === "placed") back(point);
    else if (STEPS[event.key]) nudge(point, STEPS[event.key], event.shiftKey ? 10 : 1);
    else if ((key === "enter" || key === " ") && point.state === "asked") nudge(point, [0, 0], 0);
    else return;
    event.preventDefault();
  });

  const nudge = (point, [right, down], far) => {
    if (typing?.point !== point) {
      endTyping();
      typing = { point, from: at(point), timer: 0 };
    }
    clearTimeout(typing.timer);
    slide(point, point.x + right * far, point.y + down * far);
    typing.timer = setTimeout(endTyping, 3 * PAUSE_MS);
  };

  box.addEventListener("keyup", (event) => {
    if (!typing || !(event.key in STEPS || event.key === "Enter" || event.key === " ")) return;
    clearTimeout(typing.timer);
    typing.timer = setTimeout(endTyping, PAUSE_MS);
  });
  box.addEventListener("focusout", endTyping);
  box.addEventListener("focusin", (event) => {
    const point = points.get(event.target.dataset?.point);
    if (!point) return;
    choose(point);
    tell(point.mark.getAttribute("aria-label"));
    const { x, y, w, h } = seen;
    if (point.x < x || point.y < y || point.x > x + w || point.y > y + h) look(point.x - w / 2, point.y - h / 2, w);
  });

  // When the page opens ----------------------------------------------------------------------------------------

  for (const mark of photo.querySelectorAll("[data-point]")) {
    const [x, y] = mark.getAttribute("transform").match(/-?[\d.]+/g).map(Number);
    const [fx, fy] = (mark.dataset.found ?? "").split(",").map(Number);
    const found = mark.dataset.found ? { x: fx, y: fy } : null;
    const was = shape("circle", { class: "points-was", cx: fx || 0, cy: fy || 0, r: 1, hidden: "" });
    mark.before(was);
    const state = ["found", "placed", "asked"].find((word) => mark.classList.contains(`is-${word}`));
    points.set(mark.dataset.point, { name: mark.dataset.point, label: mark.dataset.label, mark, was, found, x, y, state });
  }
  try {
    queue = JSON.parse(localStorage.getItem(KEPT) ?? "[]");
  } catch {
    queue = [];
  }
  for (const { body } of queue) {
    const point = points.get(body.point);
    if (point && body.x_px !== null) Object.assign(point, { x: body.x_px, y: body.y_px, state: "placed" });
  }
  for (const point of points.values()) draw(point);
  drawLines();
  look(0, 0, wide);
  ask();
  new ResizeObserver(drawSizes).observe(photo);
  addEventListener("online", flush);
  flush();
})();
