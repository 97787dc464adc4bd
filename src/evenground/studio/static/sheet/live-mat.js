/* The live mat: one streaming answer read message by message, drawn on a canvas; record, keep or let go.

   open       reads the stream; when it ends or breaks it is asked for again, a recording goes on in the studio
   draw       the map as density of one ink with contour lines, seen from above, toes up
   waiting    recordings that wait for a word, each with its mean map, figures and grade */
(() => {
  "use strict";
  const place = document.getElementById("mat");
  const sheet = document.getElementById("check");
  if (!place || !sheet) return;
  const FIRST_WAIT_MS = 200;
  const LONGEST_WAIT_MS = 4000;
  const SILENT_MS = 8000;
  const HEAD = 9;
  const LEVELS = [0.12, 0.35, 0.65];
  const TRAIL = 75;
  const part = (name) => place.querySelector(`.mat-${name}`);
  const form = part("form");
  const record = form.querySelector("button");
  const map = part("map");
  const text = new TextDecoder();
  let state = null;
  let picture = null;
  let stopping = null;
  let waits = FIRST_WAIT_MS;
  let due = false;
  let asked = "";
  let lost = false;
  const trail = [];
  const { newId } = window;

  const say = (element, words) => {
    if (element.textContent !== words) element.textContent = words;
  };
  const make = (tag, words = "", look = "") => {
    const made = document.createElement(tag);
    if (words) made.textContent = words;
    if (look) made.className = look;
    return made;
  };
  // The stream -------------------------------------------------------------------------------------------

  /* Cuts what comes into messages: a byte of kind, two sizes, JSON, cells. */
  const cutter = (take) => {
    let kept = new Uint8Array(0);
    return (piece) => {
      const all = new Uint8Array(kept.length + piece.length);
      all.set(kept);
      all.set(piece, kept.length);
      const view = new DataView(all.buffer);
      let at = 0;
      while (all.length - at >= HEAD) {
        const said = view.getUint32(at + 1, true);
        const cells = view.getUint32(at + 5, true);
        const end = at + HEAD + said + cells;
        if (end > all.length) break;
        const words = JSON.parse(text.decode(all.subarray(at + HEAD, at + HEAD + said)));
        take(String.fromCharCode(all[at]), words, all.slice(at + HEAD + said, end));
        at = end;
      }
      kept = all.slice(at);
    };
  };

  const read = async () => {
    stopping = new AbortController();
    let clock = 0;
    const heard = () => {
      clearTimeout(clock);
      clock = setTimeout(() => stopping?.abort(), SILENT_MS);
    };
    try {
      heard();
      const answer = await fetch(place.dataset.stream, { headers: { Accept: "application/json" }, signal: stopping.signal });
      if (answer.status === 401 || answer.status === 403) return "signed out";
      if (!answer.ok || !answer.body) return "lost";
      const cut = cutter(taken);
      const reader = answer.body.getReader();
      for (;;) {
        const { done, value } = await reader.read();
        if (done) return "over";
        heard();
        waits = FIRST_WAIT_MS;
        cut(value);
      }
    } catch {
      return "lost";
    } finally {
      clearTimeout(clock);
    }
  };

  const open = async () => {
    place.classList.add("is-open");
    part("open").hidden = false;
    for (;;) {
      if (document.visibilityState === "hidden") await seen();
      const end = await read();
      if (end === "signed out") {
        unreached("Sign in again to see the mat; a recording goes on.");
        waits = LONGEST_WAIT_MS;
      } else if (end === "lost") {
        unreached("The connection is lost; trying again. A recording goes on.");
        waits = Math.min(LONGEST_WAIT_MS, waits * 2);
      } else waits = 0;
      await new Promise((done) => setTimeout(done, waits));
      waits = Math.max(waits, FIRST_WAIT_MS);
    }
  };

  const seen = () =>
    new Promise((done) => {
      const look = () => {
        if (document.visibilityState === "hidden") return;
        document.removeEventListener("visibilitychange", look);
        done();
      };
      document.addEventListener("visibilitychange", look);
    });

  const unreached = (words) => {
    if (document.visibilityState === "hidden") return;
    lost = true;
    picture = null;
    trail.length = 0;
    say(part("says"), words);
    record.disabled = true;
    drawSoon();
  };

  const taken = (kind, words, cells) => {
    lost = false;
    if (kind === "P") {
      picture = { ...words, cells };
      if (words.moment) trail.push(words.moment.cop);
      else trail.length = 0;
      if (trail.length > TRAIL) trail.shift();
      running();
      drawSoon();
      return;
    }
    state = words;
    if (!words.mat || words.says) picture = null;
    tell();
    drawSoon();
  };

  // What is said beside the map ----------------------------------------------------------------------------

  const lines = (list, figures) => {
    const fresh = figures.map(([what, figure]) => {
      const line = make("div");
      line.append(make("dt", what), make("dd", figure));
      return line;
    });
    list.replaceChildren(...fresh);
  };
  const notes = (list, said) => list.replaceChildren(...said.filter(Boolean).map((words) => make("li", words)));
  const graded = (element, grade, lead) => {
    element.replaceChildren();
    if (!grade) return;
    element.append(`${lead}: `, make("strong", grade));
  };

  const tell = () => {
    say(part("says"), state.says);
    const lately = state.lately;
    graded(part("grade"), lately?.grade, lately ? `last ${lately.seconds} s` : "");
    lines(part("lately"), lately?.figures ?? []);
    notes(part("notes"), [...(lately?.notes ?? []), state.note]);
    say(part("reach"), state.mat ? `${state.mat.name}, ${state.mat.rows} × ${state.mat.columns} cells, ${state.mat.rate} Hz. ${state.reach}` : state.reach);
    tellStreams();
    tellWaiting();
    running();
  };

  const tellStreams = () => {
    const names = state.streams;
    part("streams").hidden = !names.length;
    const there = [...part("streams").querySelectorAll("button")].map((b) => b.textContent);
    if (there.join("\n") === names.join("\n")) return;
    for (const old of part("streams").querySelectorAll("button")) old.remove();
    for (const name of names) {
      const button = make("button", name, "line");
      button.type = "button";
      button.addEventListener("click", () => send("choose", { name }));
      part("streams").append(button);
    }
  };

  const running = () => {
    const now = state?.recording;
    const busy = Boolean(now);
    say(record, busy && now.mine ? "Stop" : "Record");
    record.disabled = lost || due || !state?.mat || Boolean(state.says) || (busy && !now.mine);
    if (!busy) say(part("running"), "");
    else if (!now.mine) say(part("running"), "The mat records for another visit.");
    else {
      const seconds = (picture?.recorded ?? 0) / now.rate;
      say(part("running"), `Recording: ${seconds.toFixed(1)}${now.seconds ? ` of ${now.seconds}` : ""} s`);
    }
  };

  // What waits for a word ----------------------------------------------------------------------------------

  const tellWaiting = () => {
    const key = state.waiting.map((w) => w.id).join(" ");
    if (key === part("waiting").dataset.key) return;
    part("waiting").dataset.key = key;
    place.classList.toggle("is-deciding", state.waiting.length > 0);
    part("waiting").replaceChildren(...state.waiting.map(waitingPart));
    for (const canvas of part("waiting").querySelectorAll("canvas")) drawKept(canvas);
  };

  const waitingPart = (one) => {
    const box = make("section", "", "mat-kept");
    const at = new Date(one.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    const title = make("h3", one.name ? `${one.name}, came at ${at}` : `Recorded at ${at}: ${one.seconds} s`);
    const canvas = make("canvas");
    canvas.kept = one.map;
    canvas.setAttribute("role", "img");
    canvas.setAttribute("aria-label", "Mean pressure of this recording, from above.");
    const beside = make("div");
    const grade = make("p", "", "mat-grade");
    graded(grade, one.grade, one.cut_off ? "cut off when the app ended; what is there" : "this recording");
    const figures = make("dl");
    lines(figures, one.figures);
    const said = make("ul", "", "mat-notes soft");
    notes(said, one.notes);
    const acts = make("div", "", "acts");
    const keep = make("button", one.footwear ? `Keep: ${one.stance}, ${one.footwear}` : "Keep as chosen below", one.grade === "usable" ? "next" : "line");
    keep.type = "button";
    const drop = make("button", one.name ? "Leave it" : "Discard", "line");
    drop.type = "button";
    acts.append(keep, drop);
    beside.append(grade, figures, said, acts);
    box.append(title, canvas, beside);
    if (!one.footwear) say(keep, "Keep as chosen above");
    keep.addEventListener("click", () => {
      const chosen = one.footwear ? one : fields();
      const body = { id: one.id, stance: chosen.stance, footwear: chosen.footwear };
      if (chosen.family) body.family = chosen.family;
      decide("keep", body, [keep, drop]);
    });
    drop.addEventListener("click", () => decide("discard", { id: one.id }, [keep, drop]));
    return box;
  };

  const decide = async (what, body, buttons) => {
    for (const button of buttons) button.disabled = true;
    const ok = await send(what, body);
    for (const button of buttons) button.disabled = false;
    if (!ok) return;
    state.waiting = state.waiting.filter((w) => w.id !== body.id);
    tellWaiting();
    if (what === "keep") document.body.dispatchEvent(new Event("look-again"));
  };

  // Sending ------------------------------------------------------------------------------------------------

  const send = async (what, body) => {
    const alert = place.querySelector(".say");
    say(alert, "");
    try {
      const answer = await fetch(place.dataset[what], {
        method: "POST",
        headers: { Accept: "application/json", "Content-Type": "application/json", "X-CSRFToken": sheet.dataset.csrf },
        body: JSON.stringify(body),
      });
      if (answer.ok) return true;
      const reply = answer.headers.get("Content-Type")?.includes("json") ? await answer.json() : {};
      say(alert, reply.sentence ?? "This did not work. Load the page again, and sign in if you are asked to.");
    } catch {
      say(alert, "The studio was not reached. Nothing is lost: press again.");
    }
    return false;
  };

  const fields = () => Object.fromEntries([...form.querySelectorAll("select")].map((f) => [f.name, f.value]));

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (due) return;
    due = true;
    running();
    if (state?.recording) await send("stop", { id: state.recording.id });
    else {
      const { stance, footwear, family, seconds } = fields();
      asked ||= newId();
      const body = { id: asked, stance, footwear, seconds: seconds ? Number(seconds) : null };
      if (family) body.family = family;
      if (await send("record", body)) asked = "";
    }
    due = false;
    running();
  });

  // Drawing ------------------------------------------------------------------------------------------------

  let soon = false;
  const drawSoon = () => {
    if (soon) return;
    soon = true;
    requestAnimationFrame(() => {
      soon = false;
      drawLive();
    });
  };

  const inks = () => {
    const look = getComputedStyle(document.documentElement);
    const of = (name) => look.getPropertyValue(name).trim();
    return { ink: of("--ink"), soft: of("--soft"), leaf: of("--paper") };
  };
  const rgb = (colour) => [1, 3, 5].map((at) => parseInt(colour.slice(at, at + 2), 16));

  /* A canvas as wide as it shows, as high as the mat asks for, in the screen's own dots. */
  const fit = (canvas, mat) => {
    const ratio = Math.min(window.devicePixelRatio || 1, 2);
    const wide = Math.max(200, canvas.clientWidth || 600);
    const high = (wide * mat.rows * mat.pitch[1]) / (mat.columns * mat.pitch[0]);
    const [w, h] = [Math.round(wide * ratio), Math.round(high * ratio)];
    if (canvas.width !== w) canvas.width = w;
    if (canvas.height !== h) canvas.height = h;
    return ratio;
  };

  const cellsOf = document.createElement("canvas");

  /* Ink as dense as the pressure; the first row, at the heels, lies at the bottom. */
  const drawMap = (canvas, mat, cells) => {
    const { rows, columns } = mat;
    const pen = canvas.getContext("2d");
    const [r, g, b] = rgb(inks().ink);
    cellsOf.width = columns;
    cellsOf.height = rows;
    const dots = new ImageData(columns, rows);
    for (let row = 0; row < rows; row += 1) {
      const to = (rows - 1 - row) * columns;
      for (let column = 0; column < columns; column += 1) {
        const at = 4 * (to + column);
        dots.data[at] = r;
        dots.data[at + 1] = g;
        dots.data[at + 2] = b;
        dots.data[at + 3] = 0.8 * cells[row * columns + column];
      }
    }
    cellsOf.getContext("2d").putImageData(dots, 0, 0);
    pen.clearRect(0, 0, canvas.width, canvas.height);
    pen.imageSmoothingEnabled = true;
    pen.imageSmoothingQuality = "high";
    pen.drawImage(cellsOf, 0, 0, canvas.width, canvas.height);
    contours(pen, canvas, mat, cells);
  };

  /* Lines of equal pressure between the cells' middles, piece by piece. */
  const contours = (pen, canvas, mat, cells) => {
    const { rows, columns } = mat;
    const [wide, high] = [canvas.width / columns, canvas.height / rows];
    pen.lineWidth = canvas.width > 700 ? 1.4 : 0.8;
    pen.strokeStyle = inks().ink;
    for (const level of LEVELS) {
      const at = 255 * level;
      pen.globalAlpha = 0.25 + 0.5 * level;
      pen.beginPath();
      for (let row = 0; row + 1 < rows; row += 1) {
        for (let column = 0; column + 1 < columns; column += 1) {
          const k = row * columns + column;
          const corner = [cells[k], cells[k + 1], cells[k + columns + 1], cells[k + columns]];
          const over = corner.map((c) => c >= at);
          if (over.every((o) => o === over[0])) continue;
          const ends = [];
          for (let side = 0; side < 4; side += 1) {
            const next = (side + 1) % 4;
            if (over[side] === over[next]) continue;
            const share = (at - corner[side]) / (corner[next] - corner[side]);
            const [x, y] = [[share, 0], [1, share], [1 - share, 1], [0, 1 - share]][side];
            ends.push([(column + 0.5 + x) * wide, canvas.height - (row + 0.5 + y) * high]);
          }
          for (let n = 0; n + 1 < ends.length; n += 2) {
            pen.moveTo(...ends[n]);
            pen.lineTo(...ends[n + 1]);
          }
        }
      }
      pen.stroke();
    }
    pen.globalAlpha = 1;
  };

  const drawKept = (canvas) => {
    const kept = canvas.kept;
    fit(canvas, kept);
    drawMap(canvas, kept, Uint8Array.from(atob(kept.cells), (c) => c.charCodeAt(0)));
  };

  const drawLive = () => {
    const mat = state?.mat;
    const pen = map.getContext("2d");
    if (!mat || !picture || picture.cells.length !== mat.rows * mat.columns) {
      pen.clearRect(0, 0, map.width, map.height);
      map.setAttribute("aria-label", "The mat from above; there is no picture.");
      return;
    }
    const ratio = fit(map, mat);
    drawMap(map, mat, picture.cells);
    const moment = picture.moment;
    if (!moment) {
      map.setAttribute("aria-label", "The mat from above; two feet are not seen.");
      return;
    }
    const scale = map.width / (mat.columns * mat.pitch[0]);
    const to = ([x, y]) => [x * scale, map.height - y * scale];
    drawLoad(pen, ratio, moment, to);
    const force = moment.force === null ? "" : `, ${moment.force} newtons`;
    map.setAttribute("aria-label", `The mat from above: ${Math.round(moment.left)} percent on the left foot, ${Math.round(moment.right)} on the right${force}.`);
    map.dataset.pictures = String(Number(map.dataset.pictures ?? 0) + 1);
  };

  /* The line through both feet's centres, the common one with the way it came, the numbers beside the feet. */
  const drawLoad = (pen, ratio, moment, to) => {
    const { ink, leaf } = inks();
    const [left, right, both] = [moment.cop_left, moment.cop_right, moment.cop].map(to);
    pen.lineJoin = "round";
    const stroke = (path, width, colour) => {
      pen.lineWidth = width * ratio;
      pen.strokeStyle = colour;
      pen.beginPath();
      path();
      pen.stroke();
    };
    const line = (points) => () => points.forEach((p, n) => (n ? pen.lineTo(...p) : pen.moveTo(...p)));
    const cross = ([x, y]) => () => {
      const arm = 7 * ratio;
      pen.moveTo(x - arm, y);
      pen.lineTo(x + arm, y);
      pen.moveTo(x, y - arm);
      pen.lineTo(x, y + arm);
    };
    const ring = (size) => () => pen.arc(both[0], both[1], size * ratio, 0, 2 * Math.PI);
    for (const [path, width] of [[line([left, right]), 1], [cross(left), 1.6], [cross(right), 1.6]]) {
      stroke(path, width + 2.4, leaf);
      stroke(path, width, ink);
    }
    pen.beginPath();
    ring(10)();
    pen.fillStyle = leaf;
    pen.fill();
    stroke(ring(10), 1, ink);
    stroke(line(trail.map(to)), 1, ink);
    stroke(ring(1.5), 3, ink);
    pen.textBaseline = "middle";
    pen.font = `400 ${24 * ratio}px "Sheet Serif", Georgia, serif`;
    number(pen, `${moment.left.toFixed(0)} %`, left[0] - 62 * ratio, left[1], "right", ratio);
    number(pen, `${moment.right.toFixed(0)} %`, right[0] + 62 * ratio, right[1], "left", ratio);
    if (moment.force === null) return;
    pen.font = `400 ${16 * ratio}px "Sheet Sans", system-ui, sans-serif`;
    number(pen, `${moment.force} N`, both[0], both[1] + 30 * ratio, "center", ratio);
  };

  /* A number that stays on the sheet and readable on ink. */
  const number = (pen, words, x, y, align, ratio) => {
    const { ink, leaf } = inks();
    const wide = pen.measureText(words).width;
    const edge = 6 * ratio;
    let at = x;
    if (align === "right") at = Math.max(x, wide + edge);
    if (align === "left") at = Math.min(x, map.width - wide - edge);
    pen.textAlign = align;
    pen.lineWidth = 5 * ratio;
    pen.strokeStyle = leaf;
    pen.strokeText(words, at, y);
    pen.fillStyle = ink;
    pen.fillText(words, at, y);
  };

  // Beginning ----------------------------------------------------------------------------------------------

  const begin = place.querySelector('[data-mat="show"]');
  begin.addEventListener("click", () => open(), { once: true });
  if (Number(place.dataset.waiting) > 0) begin.click();
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") stopping?.abort();
  });
  addEventListener("resize", () => {
    drawSoon();
    for (const canvas of part("waiting").querySelectorAll("canvas")) drawKept(canvas);
  });
})();
