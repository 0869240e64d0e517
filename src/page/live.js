"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const sheet = byId("sheet"), told = byId("told"), form = byId("values");
  const have = { blocks: {}, bodies: new Set() };

  // What the browser or the sheet's own script has put there is left as it is.
  const KEPT = new Set(["hidden", "open", "tabindex", "aria-pressed", "data-of"]);
  const own = (node) => node.nodeType === 1 && (node.classList.contains("turner") || node.classList.contains("chord"));
  const stays = (node) => node.matches(".reading, .between, button[data-scene]");

  /** Makes one tree like another, and leaves alone what is alike: focus, scrolling and open details stay. */
  const morph = (old, now) => {
    if (old.nodeType !== now.nodeType || old.nodeName !== now.nodeName) { old.replaceWith(now); return; }
    if (old.nodeType !== 1) { if (old.data !== now.data) old.data = now.data; return; }
    for (const a of [...old.attributes]) if (!now.hasAttribute(a.name) && !KEPT.has(a.name)) old.removeAttribute(a.name);
    for (const a of now.attributes) if (!KEPT.has(a.name) && old.getAttribute(a.name) !== a.value) old.setAttribute(a.name, a.value);
    if (stays(old)) return;
    const before = [...old.childNodes].filter((n) => !own(n)), after = [...now.childNodes];
    after.forEach((n, i) => { if (before[i]) { if (!before[i].isEqualNode(n)) morph(before[i], n); } else old.append(n); });
    before.slice(after.length).forEach((n) => n.remove());
  };
  const parsed = (html) => {
    const t = document.createElement("template");
    t.innerHTML = html;
    return t.content.firstElementChild;
  };
  const inner = (element, html) => { if (element.innerHTML !== html) element.innerHTML = html; };

  /** Puts in what differs. */
  const fill = (blocks) => {
    const parts = byId("parts"), ids = new Set(blocks.map((b) => b.id));
    for (const b of blocks) {
      have.blocks[b.id] = b.hash;
      if (b.html === undefined) continue;
      const old = byId(b.id), now = parsed(b.html);
      if (!old && b.id.startsWith("part-")) parts.append(now);
      else if (old && now) morph(old, now);
    }
    for (const id of Object.keys(have.blocks).filter((k) => !ids.has(k))) {
      delete have.blocks[id];
      if (id.startsWith("part-")) byId(id)?.remove();
    }
  };

  const rows = new Map([...document.querySelectorAll("li.value")].map((li) => [li.dataset.name, {
    li, box: li.querySelector("input"), less: li.querySelector("[data-by=less]"), more: li.querySelector("[data-by=more]"), at: li.querySelector(".at-box"),
  }]));
  const fields = (all, asked) => {
    if (all.length !== rows.size || all.some((f) => !rows.has(f.name))) { location.reload(); return; }
    for (const f of all) {
      const r = rows.get(f.name);
      // What is being typed is not written over by an answer to what was typed before.
      if (r.box.value !== f.text && !(document.activeElement === r.box && asked !== f.name && r.box.dataset.typed)) r.box.value = f.text;
      r.li.classList.toggle("formula", f.less === null && f.text.length > 12);
      r.li.classList.toggle("changed", f.changed);
      for (const [button, to] of [[r.less, f.less], [r.more, f.more]]) {
        button.hidden = to === null;
        button.dataset.to = to ?? "";
      }
      inner(r.at, f.told);
      if (f.wrong) r.box.setAttribute("aria-invalid", "true"); else r.box.removeAttribute("aria-invalid");
    }
  };

  const show = (state, asked) => {
    fields(state.fields, asked);
    inner(byId("top"), state.top);
    fill(state.blocks);
    const used = Object.values(state.scenes || {}).flatMap((s) => s.stands.map((b) => b.body));
    have.bodies = new Set(used);
    sheet.classList.toggle("stale", state.stale);
    const n = state.fields.filter((f) => f.changed).length;
    byId("unsaved").textContent = !state.unsaved ? "" : n === 1 ? "1 value differs from the file." : n + " values differ from the file.";
    document.querySelector("[data-act=reload]").hidden = !state.elsewhere;
    document.dispatchEvent(new CustomEvent("sheet", { detail: { scenes: state.scenes || {}, bodies: state.bodies } }));
    // What is wrong is told aloud once, in the words that stand at the box.
    const wrong = state.fields.filter((f) => f.wrong).map((f) => f.name + ": " + rows.get(f.name).at.textContent);
    const aloud = wrong.length ? wrong.join(" ") : state.stale ? byId("top").textContent : "";
    if (told.textContent !== aloud) told.textContent = aloud;
    sheet.setAttribute("aria-busy", String(state.pending));
    if (state.pending && !byId("pending")) sheet.prepend(parsed("<p id=\"pending\">The fit of these bodies and the drawing of the whole job follow.</p>"));
    else if (!state.pending) byId("pending")?.remove();
    if (state.stale && !byId("old")) sheet.prepend(parsed("<p id=\"old\" class=\"caution\">What stands here is of the last values without a fault.</p>"));
    else if (!state.stale) byId("old")?.remove();
  };

  const ask = async (what, body) => {
    const answer = await fetch(what, {
      method: "POST", headers: { "Content-Type": "application/json" }, cache: "no-store", referrerPolicy: "no-referrer",
      body: JSON.stringify({ ...body, have: { blocks: have.blocks, bodies: [...have.bodies] } }),
    });
    const state = await answer.json();
    if (!answer.ok) throw new Error(state.error || answer.statusText);
    return state;
  };
  const sorry = (e) => {
    const lost = e instanceof TypeError;
    told.textContent = lost ? "The program does not answer: it has ended, or the connection was cut. Start droprack page again." : e.message;
  };

  // One question after the other; of several waiting changes of one value the last counts.
  let waiting = new Map(), busy = null, rest = 0;
  const pump = async () => {
    if (busy) return;
    busy = true;
    clearTimeout(rest);
    try {
      while (waiting.size) {
        const [name, text] = waiting.entries().next().value;
        waiting.delete(name);
        const from = performance.now();
        const state = await ask("change", { name, text });
        show(state, name);
        document.documentElement.dataset.took = (performance.now() - from).toFixed(1);
      }
      // Once nothing more is asked: the fit, the whole drawing, and the plan searched as
      // long as for the files that are made.
      rest = setTimeout(() => act("state", {}), 60);
    } catch (e) { sorry(e); } finally { busy = null; }
  };
  const change = (name, text) => { waiting.delete(name); waiting.set(name, text); pump(); };

  const act = async (what, body, where, words) => {
    if (busy) { await new Promise((done) => { setTimeout(done, 30); }); return act(what, body, where, words); }
    busy = true;
    clearTimeout(rest);
    if (where && words) where.textContent = words;
    try {
      const state = await ask(what, body);
      show(state, null);
      if (state.act && where) where.innerHTML = state.act.html;
      return state.act;
    } catch (e) { sorry(e); if (where) where.textContent = ""; } finally { busy = null; if (waiting.size) pump(); }
    return undefined;
  };

  let pause = 0;
  const send = (box) => {
    clearTimeout(pause);
    delete box.dataset.typed;
    change(box.closest("li").dataset.name, box.value.trim());
  };
  form.addEventListener("input", (e) => {
    e.target.dataset.typed = "1";
    clearTimeout(pause);
    pause = setTimeout(() => send(e.target), 250);
  });
  form.addEventListener("change", (e) => { if (e.target.dataset.typed) send(e.target); });
  form.addEventListener("submit", (e) => e.preventDefault());
  form.addEventListener("click", (e) => {
    const b = e.target.closest("button.step");
    if (!b || !b.dataset.to) return;
    const box = b.closest("li").querySelector("input");
    box.value = b.dataset.to;
    send(box);
  });
  // The tape of the box that is in hand shows on its sketch, and leads to its box.
  const tapes = [...document.querySelectorAll(".hooks[data-tape]")];
  form.addEventListener("focusin", (e) => {
    const tape = e.target.closest("li")?.dataset.tape;
    for (const t of tapes) t.classList.toggle("held", t.dataset.tape === tape);
  });
  for (const t of tapes) {
    t.addEventListener("click", () => [...rows.values()].find((r) => r.li.dataset.tape === t.dataset.tape)?.box.focus());
  }

  // With room on the screen the boxes stand on their sketch, where the tape hooks; else
  // they are a list under it, and letters tie them to the tapes.
  const roomy = matchMedia("(min-width: 48rem)");
  const benches = [...document.querySelectorAll("svg[data-bench]")].map((svg) => ({ svg, close: svg.getAttribute("viewBox"), wide: svg.dataset.bench }));
  for (const li of document.querySelectorAll("li[data-place]")) {
    const [by, down] = li.dataset.place.split(" ").map((v) => Number(v) / 4 + "rem");
    li.style.setProperty("--by", by);
    li.style.setProperty("--down", down);
  }
  const lay = () => {
    for (const b of benches) {
      b.svg.setAttribute("viewBox", roomy.matches ? b.wide : b.close);
      b.svg.parentElement.classList.toggle("laid", roomy.matches);
    }
  };
  lay();
  roomy.addEventListener("change", lay);

  const places = { save: "told", reload: "told", make: "rack-told", book: "rack-told", undo: "rack-told" };
  const waits = { make: "Making all files; this takes some seconds.", book: "Booking." };
  document.addEventListener("click", (e) => {
    const b = e.target instanceof Element && e.target.closest("button[data-act]");
    if (b) act(b.dataset.act, {}, byId(b.dataset.told || places[b.dataset.act]), waits[b.dataset.act]);
  });
  byId("offcut").addEventListener("submit", async (e) => {
    e.preventDefault();
    const offcut = Object.fromEntries(new FormData(e.target));
    const done = await act("offcut", { offcut }, byId("offcut-told"));
    if (done && done.done) for (const box of e.target.querySelectorAll("input")) box.value = "";
  });
  addEventListener("beforeunload", (e) => { if (byId("unsaved").textContent) e.preventDefault(); });
  act("state", {});
})();
