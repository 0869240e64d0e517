"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const form = byId("first"), told = byId("told");
  // Marks of what stands on the page; the program sends what differs.
  const has = new Map();
  // The part that a finger or mouse chose: what comes next is led to. Arrow keys only pass by.
  let pointed = "";
  const picked = (group) => form.querySelector(`input[name="${group}"]:checked`)?.value ?? "";
  const rows = () => [...document.querySelectorAll("li.value")];
  const control = (li) => li.querySelector("input, select");

  const asked = () => {
    const answers = {};
    for (const li of rows()) if (control(li).value.trim()) answers[li.dataset.name] = control(li).value.trim();
    return {
      carries: picked("carries"), fixed_to: picked("fixed_to"), template: picked("template"), title: byId("title").value,
      inch: picked("units") === "inch", of: document.querySelector("[data-of]")?.dataset.of ?? "", answers, have: [...has.values()],
    };
  };

  const inner = (element, html) => { if (element.innerHTML !== html) element.innerHTML = html; };

  const field = (li, f) => {
    const box = control(li);
    if (box.tagName === "SELECT") box.options[0].textContent = f.usual; else box.placeholder = f.usual;
    inner(li.querySelector(".at-box"), f.told);
    li.classList.toggle("lacks", f.lacks);
    li.classList.toggle("changed", !f.lacks && !f.wrong && box.value.trim() !== "");
    if (f.wrong) box.setAttribute("aria-invalid", "true"); else box.removeAttribute("aria-invalid");
    for (const [by, to] of [["less", f.less], ["more", f.more]]) {
      const button = li.querySelector(`[data-by=${by}]`);
      if (!button) continue;
      button.dataset.to = to ?? "";
      // The one that has the focus keeps it; it does nothing where it has nowhere to go.
      button.disabled = to === null && document.activeElement !== button;
    }
  };

  const show = (state) => {
    for (const b of state.blocks) {
      has.set(b.id, b.key);
      if (b.html === null) continue;
      const open = byId("more")?.open;
      byId(b.id).innerHTML = b.html;
      if (open && byId("more")) byId("more").open = true;
    }
    byId("measure").hidden = state.template === "";
    if (pointed && state.template === pointed) {
      pointed = "";
      byId("measure").scrollIntoView({ behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth" });
    }
    const by = new Map(state.fields.map((f) => [f.name, f]));
    for (const li of rows()) if (by.has(li.dataset.name)) field(li, by.get(li.dataset.name));
    if (byId("cross")) inner(byId("cross"), state.cross);
    inner(byId("top"), state.top);
    inner(byId("title-told"), state.title);
    if (byId("status").textContent !== state.status) byId("status").textContent = state.status;
    byId("make").classList.toggle("ready", state.ready);
    told.textContent = "";
  };

  const ask = async (what) => {
    const answer = await fetch(what, {
      method: "POST", headers: { "Content-Type": "application/json" }, cache: "no-store", referrerPolicy: "no-referrer",
      body: JSON.stringify(asked()),
    });
    const state = await answer.json();
    if (!answer.ok) throw new Error(state.error || answer.statusText);
    return state;
  };
  const sorry = (e) => {
    told.textContent = e instanceof TypeError
      ? "The program does not answer: it has ended, or the connection was cut. Start droprack page again." : e.message;
  };

  // One question after the other; what was changed meanwhile is asked once more.
  let busy = false, again = false, pause = 0;
  const look = async () => {
    clearTimeout(pause);
    if (busy) { again = true; return; }
    busy = true;
    form.setAttribute("aria-busy", "true");
    try {
      do { again = false; show(await ask("first")); } while (again);
      form.setAttribute("aria-busy", "false");
    } catch (e) { sorry(e); } finally { busy = false; }
  };

  const make = async () => {
    clearTimeout(pause);
    if (busy) { setTimeout(make, 30); return; }
    busy = true;
    try {
      const state = await ask("begin");
      // Not a reload: a browser would fill the boxes of the next page from this one.
      if (state.begun) { location.replace("./"); return; }
      show(state);
      const open = document.querySelector("[aria-invalid]") || document.querySelector(".lacks input, .lacks select");
      open?.closest("details")?.setAttribute("open", "");
      open?.focus();
    } catch (e) { sorry(e); }
    busy = false;
  };

  form.addEventListener("input", (e) => {
    clearTimeout(pause);
    if (e.target.type === "radio" || e.target.tagName === "SELECT") look(); else pause = setTimeout(look, 250);
  });
  form.addEventListener("pointerup", (e) => { pointed = e.target.closest(".offer")?.querySelector("input").value ?? ""; });
  form.addEventListener("keydown", () => { pointed = ""; });
  form.addEventListener("submit", (e) => e.preventDefault());
  // Enter in a box is no wish to make anything yet.
  form.addEventListener("keydown", (e) => {
    if (e.key === "Enter" && e.target.tagName === "INPUT") { e.preventDefault(); look(); }
  });
  byId("make").addEventListener("click", make);
  form.addEventListener("click", (e) => {
    const b = e.target.closest("button.step");
    if (b && b.dataset.to) {
      control(b.closest("li")).value = b.dataset.to;
      b.dataset.to = "";
      look();
    }
    const tape = e.target.closest(".hooks[data-tape]");
    if (tape) { const li = rows().find((r) => r.dataset.tape === tape.dataset.tape); if (li) control(li).focus(); }
  });
  // The tape of the box that is in hand shows on the sketch.
  form.addEventListener("focusin", (e) => {
    const tape = e.target.closest("li")?.dataset.tape;
    for (const t of document.querySelectorAll("#questions .hooks[data-tape]")) t.classList.toggle("held", Boolean(tape) && t.dataset.tape === tape);
  });
  look();
})();
