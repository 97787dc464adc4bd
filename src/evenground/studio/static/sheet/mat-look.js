/* A look at a chosen recording before it is added: its picture from above, and the layout to add it with. */
(() => {
  "use strict";
  const HEAD_BYTES = 3 * 1024 * 1024;
  const PACKED = /\.(gz|zip|parquet|c3d|toml)$/i;
  const sheet = document.getElementById("check");
  const look = document.getElementById("mat-look");
  const form = look?.previousElementSibling;
  if (!sheet || !look || !form?.matches("form.upload")) return;
  const file = form.querySelector('input[name="recording"]');
  const layout = form.querySelector('input[name="layout"]');
  const shown = look.querySelector(".look-shown");
  const say = look.querySelector(".say");
  let turn = 0;
  let mirror = false;
  let anew = false;
  let asked = 0;

  const value = (name) => look.querySelector(`[name="${name}"]`).value.trim();
  const number = (name) => {
    const text = value(name).replace(",", ".");
    return text === "" || Number.isNaN(Number(text)) ? null : Number(text);
  };

  /* The proposed layout goes with the recording as if somebody had chosen its file. */
  const give = (text) => {
    const chosen = new DataTransfer();
    if (text) chosen.items.add(new File([text], "layout.toml", { type: "application/toml" }));
    layout.files = chosen.files;
  };

  const ask = async () => {
    const chosen = file.files[0];
    look.hidden = !chosen;
    if (!chosen) return;
    asked += 1;
    const mine = asked;
    const cut = !PACKED.test(chosen.name) && chosen.size > HEAD_BYTES;
    const data = new FormData();
    const known = { pitch_mm: number("pitch_mm"), rate_hz: number("rate_hz"), unit: value("unit") || null };
    const again = anew || Object.values(known).some((v) => v !== null);
    data.set("sent", JSON.stringify({ turn, mirror, anew: again, cut, ...known }));
    data.set("recording", cut ? chosen.slice(0, HEAD_BYTES) : chosen, chosen.name);
    say.textContent = "looking at the recording";
    let reply;
    try {
      const answer = await fetch(look.dataset.look, {
        method: "POST",
        headers: { Accept: "application/json", "X-CSRFToken": sheet.dataset.csrf },
        body: data,
      });
      reply = await answer.json();
    } catch {
      reply = { state: "refused", sentence: "The studio cannot be reached just now. Choose the file again." };
    }
    if (mine !== asked) return; // somebody turned it meanwhile
    const seen = reply.state === "seen";
    say.textContent = seen ? "" : (reply.sentence ?? "This file cannot be looked at.");
    shown.innerHTML = seen ? reply.html : "";
    look.classList.toggle("is-plain", seen && !reply.layout);
    look.classList.toggle("is-kept", seen && reply.kept);
    give(seen ? reply.layout : "");
  };

  const afresh = () => {
    turn = 0;
    mirror = false;
    anew = false;
    for (const field of look.querySelectorAll("input, select")) field.value = "";
    ask();
  };

  file.addEventListener("change", afresh);
  layout.addEventListener("change", () => {
    look.hidden = true; // somebody has a layout of their own
  });
  look.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button) return;
    if (button.name === "turn") turn = (turn + (mirror ? 270 : 90)) % 360;
    if (button.name === "mirror") mirror = !mirror;
    if (button.name === "anew") anew = true;
    ask();
  });
  look.addEventListener("change", ask);
  // After the placement was added the chooser is empty again, which no event tells.
  document.body.addEventListener("look-again", () => {
    if (!file.files.length) look.hidden = true;
  });
})();
