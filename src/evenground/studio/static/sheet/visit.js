/* A visit's page: everything typed is kept in this browser until the studio has answered that it is stored.

   outbox   what was typed and not answered yet, in localStorage, one entry an id; sent one at a time in order
   drafts   texts of fields that are not stored yet, so that a page drawn anew never takes them away
   parts    pieces of the page that htmx draws anew; one that holds the cursor is only filled in gently */
(() => {
  "use strict";
  const PREFIX = "evenground.out.";
  const DRAFT = "evenground.draft.";
  const BLIND = "evenground.blind.";
  const PAUSE_MS = 700;
  const SLOWEST_MS = 15000;
  const TIMEOUT_MS = 20000;
  const sheet = document.getElementById("check");
  if (!sheet) return;
  const visit = sheet.dataset.visit;
  const memory = new Map();
  const drafts = new Map();
  const timers = new Map();
  const seen = new Map(); // the reading that a field showed when somebody began to type over it
  let count = 0;
  let busy = false;
  let tries = 0;
  let retry = 0;
  let signedOut = false;

  // The outbox -------------------------------------------------------------------------------------------

  const store = (key, value) => {
    try {
      localStorage.setItem(key, value);
    } catch {
      memory.set(key, value);
    }
  };
  const forget = (key) => {
    memory.delete(key);
    try {
      localStorage.removeItem(key);
    } catch {
      /* nothing was stored there */
    }
  };
  const fetched = (key) => {
    try {
      return localStorage.getItem(key) ?? memory.get(key) ?? null;
    } catch {
      return memory.get(key) ?? null;
    }
  };
  const keys = () => {
    const found = new Set(memory.keys());
    try {
      for (let i = 0; i < localStorage.length; i += 1) found.add(localStorage.key(i));
    } catch {
      /* only the memory holds something then */
    }
    return [...found].filter((key) => key && key.startsWith(PREFIX));
  };
  const waiting = () =>
    keys()
      .map((key) => JSON.parse(fetched(key) ?? "null"))
      .filter(Boolean)
      .sort((a, b) => a.order - b.order);

  const { newId } = window;

  const post = (to, body, from) => {
    if (from.cell) {
      for (const old of waiting()) {
        if (old.cell === from.cell && old.visit === visit && !old.sent) forget(PREFIX + old.id);
      }
    }
    count += 1;
    const id = newId();
    const entry = {
      id,
      visit,
      to,
      body: { ...body, id, at: new Date().toISOString() },
      order: Date.now() + count / 1000,
      ...from,
    };
    store(PREFIX + id, JSON.stringify(entry));
    tell();
    flush();
    return id;
  };

  const tell = () => {
    const place = document.getElementById("saved");
    if (!place) return;
    const n = waiting().length;
    let text = "saved";
    if (n && signedOut) text = `${n} not saved yet: sign in again, what you typed is kept`;
    else if (n && tries) text = `waiting: ${n} not saved yet, trying again`;
    else if (n) text = "saving";
    if (place.textContent !== text) place.textContent = text;
    place.classList.toggle("is-waiting", n > 0 && (tries > 0 || signedOut));
  };

  const flush = async () => {
    if (busy) return;
    const entry = waiting()[0];
    if (!entry) {
      tell();
      return;
    }
    busy = true;
    clearTimeout(retry);
    if (entry.cell && entry.visit === visit) {
      entry.body.seen = seen.get(entry.cell) ?? document.getElementById(entry.cell)?.dataset.seen ?? entry.body.seen;
    }
    store(PREFIX + entry.id, JSON.stringify({ ...entry, sent: true }));
    const reply = await send(entry);
    busy = false;
    if (reply === null) {
      tries += 1;
      tell();
      retry = setTimeout(flush, Math.min(SLOWEST_MS, 500 * 2 ** Math.min(tries, 6)));
      return;
    }
    tries = 0;
    signedOut = false;
    forget(PREFIX + entry.id);
    settle(entry, reply);
    tell();
    flush();
  };

  const send = async (entry) => {
    const stop = new AbortController();
    const clock = setTimeout(() => stop.abort(), TIMEOUT_MS);
    try {
      const answer = await fetch(entry.to, {
        method: "POST",
        headers: headers({ "Content-Type": "application/json" }),
        body: JSON.stringify(entry.body),
        signal: stop.signal,
      });
      return await understood(answer);
    } catch {
      return null;
    } finally {
      clearTimeout(clock);
    }
  };

  const headers = (more) => ({
    Accept: "application/json",
    "X-CSRFToken": sheet.dataset.csrf,
    ...more,
  });

  /* A reply, or null for "not now": what was typed stays and is sent again. */
  const understood = async (answer) => {
    if (answer.status === 401 || answer.status === 403) {
      signedOut = true;
      return null;
    }
    if (answer.status >= 500 || answer.status === 429) return null;
    const reply = await answer.json();
    return { ok: answer.ok, ...reply };
  };

  const settle = (entry, reply) => {
    if (entry.visit !== visit) return;
    if (entry.cell) settleCell(entry, reply);
    else settleForm(entry, reply);
    if (reply.ok) lookAgain();
  };

  const lookAgain = () => document.body.dispatchEvent(new Event("look-again"));

  // Fields -----------------------------------------------------------------------------------------------

  const noteOf = (field) => document.getElementById(`n-${field.id}`);
  const say = (place, text) => {
    if (place && place.textContent !== text) place.textContent = text;
  };

  const settleCell = (entry, reply) => {
    const field = document.getElementById(entry.cell);
    if (!field) {
      drafts.delete(entry.cell);
      return;
    }
    const later = drafts.get(field.id) !== undefined && drafts.get(field.id) !== entry.body.text;
    field.setAttribute("aria-invalid", reply.ok ? "false" : "true");
    if (!reply.ok) {
      say(noteOf(field), reply.sentence ?? "This was not saved.");
      return;
    }
    field.dataset.seen = reply.reading;
    if (later) seen.set(field.id, reply.reading);
    else {
      drafts.delete(field.id);
      seen.delete(field.id);
    }
    if (reply.overlap) say(noteOf(field), reply.overlap);
    else if (field.tagName === "INPUT" && reply.text && reply.text !== field.value) say(noteOf(field), `= ${reply.text}`);
    else say(noteOf(field), "");
    if (reply.unfinished) say(noteOf(field), reply.unfinished.startsWith("repeat") ? "" : reply.unfinished);
  };

  const saveCell = (field) => {
    clearTimeout(timers.get(field.id));
    if (!drafts.has(field.id)) return;
    if (field.dataset.last === field.value) return;
    field.dataset.last = field.value;
    const spot = JSON.parse(field.dataset.spot);
    const body = {
      ...spot,
      text: field.value,
      label: field.getAttribute("aria-label") ?? "",
      seen: field.dataset.seen ?? "",
    };
    post(fieldAddress, body, { cell: field.id });
  };
  const fieldAddress = `/visits/${visit}/send/field/`;

  document.addEventListener("input", (event) => {
    const field = event.target;
    if (field.dataset?.spot) {
      if (!drafts.has(field.id)) seen.set(field.id, field.dataset.seen ?? "");
      drafts.set(field.id, field.value);
      clearTimeout(timers.get(field.id));
      timers.set(field.id, setTimeout(() => saveCell(field), field.tagName === "SELECT" ? 0 : PAUSE_MS));
    } else if (field.form?.dataset.trial && field.id) {
      drafts.set(field.id, field.value);
      store(DRAFT + visit + field.id, field.value);
    }
  });
  document.addEventListener("change", (event) => {
    if (event.target.dataset?.spot) saveCell(event.target);
    if (event.target.dataset?.into) loadInto(event.target);
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.target.tagName !== "INPUT" || !event.target.dataset.spot) return;
    event.preventDefault();
    saveCell(event.target);
    const fields = [...sheet.querySelectorAll("[data-spot]")].filter((f) => f.offsetParent !== null);
    const next = fields[fields.indexOf(event.target) + 1];
    if (next) next.focus();
  });

  // Forms ------------------------------------------------------------------------------------------------

  const sayOf = (form) => form.querySelector(".say");

  const trialOf = (form) => {
    const body = { kind: form.dataset.trial, values: {}, words: {}, labels: {} };
    for (const field of form.querySelectorAll("input[type=text], select")) {
      body.values[field.name] = field.value;
      body.labels[field.name] = form.querySelector(`label[for="${field.id}"]`)?.textContent ?? field.name;
    }
    for (const side of form.querySelectorAll("input[type=radio]:checked")) {
      body.words[side.name.replace(/^side-/, "")] = side.value;
    }
    return body;
  };

  const keepTrial = (form) => {
    const once = [...form.querySelectorAll("[data-once]")];
    const empty = once.find((field) => !field.value.trim());
    if (empty) {
      say(sayOf(form), `Read the ${form.querySelector(`label[for="${empty.id}"]`)?.textContent ?? "value"} first.`);
      empty.focus();
      return;
    }
    say(sayOf(form), "");
    const body = trialOf(form);
    const typed = Object.fromEntries([...form.querySelectorAll("input[type=text], select")].map((f) => [f.id, f.value]));
    post(form.dataset.to, body, { form: form.dataset.trial, typed });
    for (const field of form.querySelectorAll("input[type=text], select")) {
      drafts.delete(field.id);
      forget(DRAFT + visit + field.id);
      if ("once" in field.dataset) field.value = "";
    }
    if (once[0] && matchMedia("(hover: hover)").matches) once[0].focus();
  };

  const sendForm = (form) => {
    const body = {};
    for (const field of form.querySelectorAll("[name]")) {
      body[field.name] = "list" in field.dataset ? field.value.split(" ").filter(Boolean) : field.value;
    }
    say(sayOf(form), "");
    post(form.dataset.send, body, { form: form.dataset.send });
  };

  const settleForm = (entry, reply) => {
    const form = [...sheet.querySelectorAll("form")].find(
      (f) => f.dataset.trial === entry.form || f.dataset.send === entry.form,
    );
    if (!form) return;
    if (reply.ok) {
      if (reply.rows !== undefined) say(sayOf(form), `${reply.rows} lines saved.`);
      if (form.dataset.send) {
        for (const field of form.querySelectorAll("textarea, input[type=text]")) field.value = "";
      }
      return;
    }
    for (const [id, value] of Object.entries(entry.typed ?? {})) {
      const field = document.getElementById(id);
      if (field && (!field.value || field.tagName === "SELECT")) {
        field.value = value;
        drafts.set(id, value);
      }
    }
    say(sayOf(form), reply.sentence ?? "This was not saved.");
  };

  const loadInto = async (chooser) => {
    const file = chooser.files?.[0];
    if (file) document.getElementById(chooser.dataset.into).value = await file.text();
  };

  const upload = async (form) => {
    const button = form.querySelector("button");
    const sent = { id: form.dataset.id || newId() };
    form.dataset.id = sent.id;
    const data = new FormData();
    for (const field of form.querySelectorAll("select, input[type=text]")) sent[field.name] = field.value;
    data.set("sent", JSON.stringify(sent));
    for (const field of form.querySelectorAll("input[type=file]")) {
      if (field.files[0]) data.set(field.name, field.files[0]);
    }
    button.disabled = true;
    for (let round = 0; ; round += 1) {
      const what = form.dataset.what || "recording";
      say(sayOf(form), round ? `waiting: the ${what} is not saved yet, trying again` : `sending the ${what}`);
      let reply = null;
      try {
        reply = await understood(await fetch(form.dataset.upload, { method: "POST", headers: headers({}), body: data }));
      } catch {
        reply = null;
      }
      if (reply !== null) {
        button.disabled = false;
        delete form.dataset.id;
        say(sayOf(form), reply.ok ? form.dataset.saved || "The placement is saved." : reply.sentence);
        if (reply.ok && reply.go) location.assign(reply.go);
        if (reply.ok) {
          for (const field of form.querySelectorAll("input[type=file]")) field.value = "";
          lookAgain();
        }
        return;
      }
      await new Promise((done) => setTimeout(done, Math.min(SLOWEST_MS, 1000 * 2 ** Math.min(round, 4))));
    }
  };

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.dataset.trial) keepTrial(form);
    else if (form.dataset.send) sendForm(form);
    else if (form.dataset.upload) upload(form);
    else return;
    event.preventDefault();
  });

  // Parts drawn anew --------------------------------------------------------------------------------------

  const held = (part) => {
    const at = document.activeElement;
    return at && at !== document.body && part.contains(at) && at.matches("input, select, textarea");
  };

  const open = (part) => [...part.querySelectorAll("details[open] > summary")].map((s) => s.textContent);

  /* Fill in what others wrote without touching the field that holds the cursor. */
  const gently = (part, fragment) => {
    for (const fresh of fragment.querySelectorAll("[data-gentle]")) {
      const old = part.querySelector(`#${CSS.escape(fresh.id)}`);
      if (!old || old.contains(document.activeElement)) continue;
      const field = old.querySelector("input, select");
      if (field && drafts.has(field.id)) continue;
      const note = old.querySelector(".note")?.textContent;
      const copy = fresh.cloneNode(true);
      old.replaceWith(copy);
      if (note && copy.querySelector(".note")) copy.querySelector(".note").textContent = note;
      window.htmx?.process(copy);
    }
    part.dataset.late = "yes";
  };

  const notes = new Map();
  const opened = new Map();

  document.body.addEventListener("htmx:oobBeforeSwap", (event) => {
    const part = event.detail.target;
    if (!part) return;
    for (const note of part.querySelectorAll(".note")) if (note.textContent) notes.set(note.id, note.textContent);
    opened.set(part.id, open(part));
    if (!held(part)) return;
    event.detail.shouldSwap = false;
    gently(part, event.detail.fragment);
  });

  document.body.addEventListener("htmx:oobAfterSwap", (event) => {
    const part = document.getElementById(event.detail.target?.id ?? "");
    if (part) refill(part);
  });

  /* After a part was drawn anew: what is not stored yet comes back, open things stay open. */
  const refill = (part) => {
    for (const note of part.querySelectorAll(".note")) {
      if (notes.has(note.id)) note.textContent = notes.get(note.id);
    }
    for (const summary of part.querySelectorAll("details > summary")) {
      if (opened.get(part.id)?.includes(summary.textContent)) summary.parentElement.open = true;
    }
    for (const [id, text] of drafts) {
      const field = part.querySelector(`#${CSS.escape(id)}`);
      if (field) field.value = text;
    }
  };

  document.addEventListener("focusout", (event) => {
    const part = event.target.closest?.("[data-late]");
    if (!part || part.contains(event.relatedTarget)) return;
    delete part.dataset.late;
    drawAnew = true;
    setTimeout(lookAgain, 0);
  });
  let drawAnew = false;
  document.body.addEventListener("htmx:configRequest", (event) => {
    if (event.detail.elt.id !== "news" || !drawAnew) return;
    event.detail.parameters.since = -1;
    drawAnew = false;
  });

  // When the page opens, the lid opens, the network comes back ---------------------------------------------

  for (const entry of waiting()) {
    if (entry.visit !== visit) continue;
    const field = entry.cell && document.getElementById(entry.cell);
    if (field) {
      field.value = entry.body.text;
      drafts.set(field.id, field.value);
    }
  }
  for (const field of sheet.querySelectorAll("form[data-trial] [id]")) {
    const kept = fetched(DRAFT + visit + field.id);
    if (kept !== null && "value" in field) {
      field.value = kept;
      drafts.set(field.id, kept);
    }
  }
  const blind = document.getElementById("blind");
  const hide = () => sheet.classList.toggle("is-blind", blind.checked);
  if (blind) {
    blind.checked = fetched(BLIND + visit) === "yes";
    blind.addEventListener("change", () => {
      store(BLIND + visit, blind.checked ? "yes" : "no");
      hide();
    });
    hide();
  }
  const again = () => {
    tries = 0;
    signedOut = false;
    clearTimeout(retry);
    flush();
  };
  addEventListener("online", again);
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "visible") again();
    else for (const field of sheet.querySelectorAll("[data-spot]")) saveCell(field);
  });
  addEventListener("pagehide", () => {
    for (const field of sheet.querySelectorAll("[data-spot]")) saveCell(field);
  });
  tell();
  flush();
})();
