"use strict";
(() => {
  // Lengths as people read them: the sheet's own unit first.
  const tidy = (v, places) => String(Number(v.toFixed(places)));
  const inches = (mm) => {
    const n = Math.round(Math.abs(mm) / 25.4 * 64);
    let top = n % 64, bottom = 64;
    while (top && top % 2 === 0) { top /= 2; bottom /= 2; }
    const whole = Math.floor(n / 64);
    if (!top) return whole + " in";
    return (whole ? whole + "-" : "") + top + "/" + bottom + " in";
  };
  const length = (mm, units) => units === "in"
    ? inches(mm) + " (" + tidy(mm, 1) + " mm)"
    : tidy(mm, 1) + " mm (" + (mm / 25.4).toFixed(3) + " in)";

  // Holes: point at one to read it, choose two to measure between them. What is
  // chosen is kept by letter, for a drawing may be put in the place of another.
  const taken = new WeakMap();
  const parts = (hole) => {
    const figure = hole.closest("figure");
    return { figure, holes: [...figure.querySelectorAll(".hole")] };
  };
  const show = (hole) => {
    const reading = hole.closest("figure").querySelector(".reading");
    if (!reading) return;
    reading.textContent = hole.getAttribute("aria-label") + ".";
    reading.dataset.of = hole.dataset.face + hole.dataset.letter;
  };
  const place = (hole) => hole.dataset.at.split(" ").map(Number);
  const measure = (figure) => {
    const plan = figure.querySelector("svg.plan"), between = figure.querySelector(".between");
    if (!plan || !between) return;
    const holes = [...plan.querySelectorAll(".hole")];
    const chosen = (taken.get(figure) || []).map((key) => holes.find((h) => h.dataset.face + h.dataset.letter === key)).filter(Boolean);
    for (const line of plan.querySelectorAll(".chord")) line.remove();
    for (const h of holes) h.setAttribute("aria-pressed", String(chosen.includes(h)));
    if (!chosen.length) { between.textContent = ""; return; }
    const [a, b] = chosen;
    if (!b) { between.textContent = "Hole " + a.dataset.letter + " is chosen; choose another to measure to."; return; }
    if (a.dataset.face !== b.dataset.face) {
      between.textContent = "Holes " + a.dataset.letter + " and " + b.dataset.letter + " are on different faces; there is no straight distance on the flat.";
      return;
    }
    const [ax, ay] = place(a), [bx, by] = place(b), units = plan.dataset.units;
    between.textContent = a.dataset.letter + " to " + b.dataset.letter + ", between centres: "
      + length(Math.hypot(bx - ax, by - ay), units) + "; along X " + length(Math.abs(bx - ax), units)
      + ", along Y " + length(Math.abs(by - ay), units) + ".";
    const chord = document.createElementNS(plan.namespaceURI, "line");
    chord.setAttribute("class", "chord");
    for (const [k, v] of [["x1", ax], ["y1", ay], ["x2", bx], ["y2", by]]) chord.setAttribute(k, v);
    plan.append(chord);
  };
  const choose = (hole) => {
    const { figure } = parts(hole), key = hole.dataset.face + hole.dataset.letter, chosen = taken.get(figure) || [];
    taken.set(figure, chosen.includes(key) ? chosen.filter((k) => k !== key) : [...chosen, key].slice(-2));
    measure(figure);
  };
  const go = (hole, to) => {
    const { holes } = parts(hole), i = to(holes.indexOf(hole), holes.length);
    const next = holes[(i + holes.length) % holes.length];
    for (const h of holes) h.setAttribute("tabindex", h === next ? "0" : "-1");
    next.focus();
  };
  const on = (kind, act) => document.addEventListener(kind, (e) => {
    const hole = e.target instanceof Element && e.target.closest("svg.plan .hole");
    if (hole) act(hole, e);
  });
  on("pointerover", show);
  on("focusin", show);
  on("click", (hole) => { go(hole, (i) => i); choose(hole); });
  on("keydown", (hole, e) => {
    const keys = {
      ArrowRight: () => go(hole, (i) => i + 1), ArrowDown: () => go(hole, (i) => i + 1), ArrowLeft: () => go(hole, (i) => i - 1), ArrowUp: () => go(hole, (i) => i - 1),
      Home: () => go(hole, () => 0), End: () => go(hole, (i, n) => n - 1), Enter: () => choose(hole), " ": () => choose(hole),
      Escape: () => { taken.delete(parts(hole).figure); measure(parts(hole).figure); },
    };
    if (!keys[e.key] || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    keys[e.key]();
  });
  /** After a drawing was changed: readings and distances are those of the new one. */
  const read = () => {
    for (const figure of document.querySelectorAll("figure.flat")) {
      const reading = figure.querySelector(".reading");
      if (reading && reading.dataset.of) {
        const hole = [...figure.querySelectorAll(".hole")].find((h) => h.dataset.face + h.dataset.letter === reading.dataset.of);
        if (hole) show(hole);
      }
      if (taken.has(figure)) measure(figure);
    }
  };

  // A box that scrolls can be reached by keyboard.
  const reach = () => {
    for (const box of document.querySelectorAll(".wide")) {
      const more = box.scrollWidth > box.clientWidth + 1;
      if (more) { box.setAttribute("tabindex", "0"); box.setAttribute("role", "group"); box.setAttribute("aria-label", "Wider than the screen: scrolls sideways"); }
      else { box.removeAttribute("tabindex"); box.removeAttribute("role"); box.removeAttribute("aria-label"); }
    }
  };
  reach();
  addEventListener("resize", reach);

  // Bodies in space. One canvas wanders from figure to figure.
  const data = { bodies: {}, scenes: {}, ...JSON.parse(document.getElementById("bodies").textContent) };
  const canvas = document.createElement("canvas");
  const gl = canvas.getContext("webgl", { alpha: true, antialias: true });
  const buttons = () => [...document.querySelectorAll("button[data-scene]")].filter((b) => data.scenes[b.dataset.scene]);
  const live = document.body.dataset.live !== undefined;
  document.addEventListener("sheet", () => { read(); reach(); });
  if (!gl || (!live && !buttons().length)) return;

  const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  const shader = (kind, text) => {
    const s = gl.createShader(kind);
    gl.shaderSource(s, text);
    gl.compileShader(s);
    return s;
  };
  const program = gl.createProgram();
  gl.attachShader(program, shader(gl.VERTEX_SHADER, `
    attribute vec3 p; attribute vec3 n;
    uniform vec3 low, step; uniform mat4 stand, view; uniform mat3 look; uniform float nearer;
    varying vec3 turned;
    void main() {
      gl_Position = view * stand * vec4(low + step * p, 1.0);
      gl_Position.z -= nearer;
      turned = look * mat3(stand) * n;
    }`));
  gl.attachShader(program, shader(gl.FRAGMENT_SHADER, `
    precision mediump float;
    uniform vec4 paint; uniform float plain; varying vec3 turned;
    void main() {
      float lit = 0.62 + 0.38 * dot(normalize(turned), normalize(vec3(-0.35, 0.6, -0.7)));
      gl_FragColor = vec4(paint.rgb * mix(lit, 1.0, plain), paint.a);
    }`));
  gl.linkProgram(program);
  if (!gl.getProgramParameter(program, gl.LINK_STATUS)) return;
  gl.useProgram(program);
  const spot = (name) => gl.getUniformLocation(program, name);
  const at = { p: gl.getAttribLocation(program, "p"), n: gl.getAttribLocation(program, "n") };
  const u = { low: spot("low"), step: spot("step"), stand: spot("stand"), view: spot("view"), look: spot("look"), nearer: spot("nearer"), paint: spot("paint"), plain: spot("plain") };
  const wide = gl.getExtension("OES_element_index_uint");
  if (Object.values(data.bodies).some((b) => b.wide) && !wide) return;

  const loaded = new Map();
  const body = (i) => {
    if (loaded.has(i)) return loaded.get(i);
    const b = data.bodies[i];
    const put = (target, array) => {
      const buffer = gl.createBuffer();
      gl.bindBuffer(target, buffer);
      gl.bufferData(target, array, gl.STATIC_DRAW);
      return buffer;
    };
    const whole = (text) => b.wide ? new Uint32Array(bytes(text).buffer) : new Uint16Array(bytes(text).buffer);
    const t = whole(b.t), e = whole(b.e);
    const made = {
      low: b.low, step: b.step, kind: b.wide ? gl.UNSIGNED_INT : gl.UNSIGNED_SHORT, nt: t.length, ne: e.length,
      p: put(gl.ARRAY_BUFFER, new Uint16Array(bytes(b.p).buffer)), n: put(gl.ARRAY_BUFFER, new Int8Array(bytes(b.n).buffer)),
      t: put(gl.ELEMENT_ARRAY_BUFFER, t), e: put(gl.ELEMENT_ARRAY_BUFFER, e),
    };
    loaded.set(i, made);
    return made;
  };

  // How the view lies: to the right, upwards, away from the viewer.
  const axes = () => {
    const a = turn * Math.PI / 180, p = tilt * Math.PI / 180;
    return [[Math.cos(a), Math.sin(a), 0], [-Math.sin(a) * Math.sin(p), Math.cos(a) * Math.sin(p), Math.cos(p)],
      [-Math.sin(a) * Math.cos(p), Math.cos(a) * Math.cos(p), -Math.sin(p)]];
  };
  const dot = (x, y) => x[0] * y[0] + x[1] * y[1] + x[2] * y[2];
  let scene = null, turn = 0, tilt = 0, zoom = 1, middle = [0, 0, 0], radius = 1, asked = false;
  const START_TILT = 35.264;
  const onto = (f, p) => [0, 1, 2].map((k) => f[k] * p[0] + f[3 + k] * p[1] + f[6 + k] * p[2] + f[9 + k]);
  let corners = [];
  const fit = () => {
    corners = [];
    const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
    for (const s of scene.stands) {
      const b = data.bodies[s.body];
      for (let c = 0; c < 8; c++) {
        const p = onto(s.frame, [0, 1, 2].map((k) => b.low[k] + (c >> k & 1) * b.step[k] * 65535));
        corners.push(p);
        for (let k = 0; k < 3; k++) { low[k] = Math.min(low[k], p[k]); high[k] = Math.max(high[k], p[k]); }
      }
    }
    middle = low.map((v, k) => (v + high[k]) / 2);
    radius = Math.max(Math.hypot(...low.map((v, k) => (high[k] - v) / 2)), 1e-3);
  };
  const inks = () => {
    const words = getComputedStyle(document.documentElement).getPropertyValue("--ink").trim();
    const hex = words.length === 4 ? words.replace(/[0-9a-f]/gi, "$&$&") : words;
    return [1, 3, 5].map((i) => (parseInt(hex.slice(i, i + 2), 16) || 0) / 255);
  };
  const draw = () => {
    asked = false;
    if (!scene || !canvas.isConnected) return;
    const ratio = Math.min(devicePixelRatio || 1, 2);
    const w = Math.max(1, Math.round(canvas.clientWidth * ratio)), h = Math.max(1, Math.round(canvas.clientHeight * ratio));
    if (canvas.width !== w || canvas.height !== h) { canvas.width = w; canvas.height = h; }
    gl.viewport(0, 0, w, h);
    gl.clearColor(0, 0, 0, 0);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.enable(gl.DEPTH_TEST);
    const [right, up, away] = axes();
    const size = zoom / radius, sx = size * Math.min(1, h / w), sy = size * Math.min(1, w / h), sz = 0.5 / radius;
    const rows = [[right, sx], [up, sy], [away, sz]];
    const view = new Float32Array(16);
    rows.forEach(([axis, s], r) => {
      for (let c = 0; c < 3; c++) view[4 * c + r] = axis[c] * s;
      view[12 + r] = -dot(axis, middle) * s;
    });
    view[15] = 1;
    gl.uniformMatrix4fv(u.view, false, view);
    gl.uniformMatrix3fv(u.look, false, [0, 1, 2].flatMap((c) => [right[c], up[c], away[c]]));
    const ink = inks();
    for (const s of scene.stands) {
      const b = body(s.body), f = s.frame;
      gl.uniformMatrix4fv(u.stand, false, [f[0], f[1], f[2], 0, f[3], f[4], f[5], 0, f[6], f[7], f[8], 0, f[9], f[10], f[11], 1]);
      gl.uniform3fv(u.low, b.low);
      gl.uniform3fv(u.step, b.step);
      gl.bindBuffer(gl.ARRAY_BUFFER, b.p);
      gl.enableVertexAttribArray(at.p);
      gl.vertexAttribPointer(at.p, 3, gl.UNSIGNED_SHORT, false, 0, 0);
      gl.bindBuffer(gl.ARRAY_BUFFER, b.n);
      gl.enableVertexAttribArray(at.n);
      gl.vertexAttribPointer(at.n, 3, gl.BYTE, true, 0, 0);
      if (!s.faint) {
        gl.uniform4f(u.paint, s.colour[0] / 255, s.colour[1] / 255, s.colour[2] / 255, 1);
        gl.uniform1f(u.plain, 0);
        gl.uniform1f(u.nearer, 0);
        gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, b.t);
        gl.drawElements(gl.TRIANGLES, b.nt, b.kind, 0);
      }
      const thin = s.faint ? 0.45 : 1;
      gl.uniform4f(u.paint, ink[0] * thin, ink[1] * thin, ink[2] * thin, thin);
      gl.uniform1f(u.plain, 1);
      gl.uniform1f(u.nearer, 0.0015);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, b.e);
      gl.drawElements(gl.LINES, b.ne, b.kind, 0);
    }
  };
  const again = () => { if (!asked) { asked = true; requestAnimationFrame(draw); } };
  const swing = (dx, dy) => { turn -= dx; tilt = Math.max(-90, Math.min(90, tilt + dy)); again(); };
  const nearer = (by) => { zoom = Math.max(0.3, Math.min(30, zoom * by)); again(); };
  const start = () => {
    turn = scene.turn;
    tilt = START_TILT;
    const [right, up] = axes(), w = canvas.clientWidth || 1, h = canvas.clientHeight || 1;
    const reach = (axis, side) => corners.reduce((far, p) => Math.max(far, Math.abs(dot(axis, p) - dot(axis, middle))), 0) / side;
    zoom = 0.94 * radius / (Math.max(reach(right, w), reach(up, h), 1e-9) * Math.min(w, h));
    again();
  };

  canvas.setAttribute("tabindex", "0");
  canvas.setAttribute("role", "application");
  const keys = {
    ArrowLeft: () => swing(-10, 0), ArrowRight: () => swing(10, 0), ArrowUp: () => swing(0, -10), ArrowDown: () => swing(0, 10),
    "+": () => nearer(1.2), "=": () => nearer(1.2), "-": () => nearer(1 / 1.2), "0": () => start(),
  };
  canvas.addEventListener("keydown", (e) => {
    if (!keys[e.key] || e.ctrlKey || e.metaKey || e.altKey) return;
    e.preventDefault();
    keys[e.key]();
  });
  // The wheel scrolls the sheet until the view is taken in hand.
  canvas.addEventListener("wheel", (e) => {
    if (document.activeElement !== canvas) return;
    e.preventDefault();
    nearer(Math.exp(-e.deltaY / 500));
  }, { passive: false });
  // One finger or the mouse turns, two fingers come nearer and go farther; two taps at one
  // place put the view back. The canvas alone takes fingers: beside it the sheet scrolls.
  const fingers = new Map();
  const TAP = { wait: 350, slip: 12, apart: 30 };
  let first = null, tap = null;
  const spread = () => { const [a, b] = [...fingers.values()]; return Math.hypot(a[0] - b[0], a[1] - b[1]); };
  canvas.addEventListener("pointerdown", (e) => {
    fingers.set(e.pointerId, [e.clientX, e.clientY]);
    canvas.setPointerCapture(e.pointerId);
    // What two fingers do is no tap.
    first = fingers.size === 1 ? { at: e.timeStamp, x: e.clientX, y: e.clientY } : null;
    if (!first) tap = null;
  });
  canvas.addEventListener("pointermove", (e) => {
    const last = fingers.get(e.pointerId);
    if (!last) return;
    const wide = fingers.size === 2 ? spread() : 0;
    fingers.set(e.pointerId, [e.clientX, e.clientY]);
    if (first && Math.hypot(e.clientX - first.x, e.clientY - first.y) > TAP.slip) first = null;
    if (fingers.size === 1) swing((e.clientX - last[0]) / 2.5, (e.clientY - last[1]) / 2.5);
    else if (fingers.size === 2 && wide > 0) nearer(spread() / wide);
  });
  canvas.addEventListener("pointerup", (e) => {
    const short = first && fingers.size === 1 && e.timeStamp - first.at < TAP.wait;
    const again = short && tap && e.timeStamp - tap.at < TAP.wait && Math.hypot(e.clientX - tap.x, e.clientY - tap.y) < TAP.apart;
    if (again) start();
    tap = short && !again ? { at: e.timeStamp, x: e.clientX, y: e.clientY } : null;
    first = null;
  });
  for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) canvas.addEventListener(end, (e) => fingers.delete(e.pointerId));

  const turner = document.createElement("div");
  turner.className = "turner";
  const row = document.createElement("div");
  row.className = "keys";
  row.setAttribute("role", "group");
  row.setAttribute("aria-label", "Turn and zoom the view");
  for (const [sign, words, act] of [
    ["\u2190", "Turn to the left", () => swing(-15, 0)], ["\u2192", "Turn to the right", () => swing(15, 0)],
    ["\u2191", "Tilt back", () => swing(0, -15)], ["\u2193", "Tilt forward", () => swing(0, 15)],
    ["+", "Nearer", () => nearer(1.25)], ["\u2212", "Farther", () => nearer(0.8)], ["as drawn", "", start],
  ]) {
    const b = document.createElement("button");
    b.type = "button";
    b.textContent = sign;
    if (words) b.setAttribute("aria-label", words);
    b.addEventListener("click", act);
    row.append(b);
  }
  turner.append(canvas, row);
  let open = null, words = "";
  const close = () => {
    if (!open) return;
    open.closest("figure").querySelector(".still").hidden = false;
    open.textContent = words;
    turner.remove();
    open = null;
  };
  document.addEventListener("click", (e) => {
    const button = e.target instanceof Element && e.target.closest("button[data-scene]");
    if (!button) return;
    const was = open;
    close();
    if (was === button) return;
    const still = button.closest("figure").querySelector(".still");
    scene = data.scenes[button.dataset.scene];
    canvas.setAttribute("aria-label", "View in space of " + button.dataset.name + ": arrow keys or one finger turn it, plus and minus or two fingers zoom, 0 or two taps put it back.");
    still.after(turner);
    still.hidden = true;
    words = button.textContent;
    button.textContent = "Back to the drawing";
    open = button;
    fit();
    start();
    canvas.focus({ preventScroll: true });
  });
  let lost = false;
  const offer = () => {
    for (const b of document.querySelectorAll("button[data-scene]")) b.hidden = lost || !data.scenes[b.dataset.scene];
  };
  offer();
  // Other bodies, in a sheet that changes: the view stays as it was turned.
  document.addEventListener("sheet", (e) => {
    if (e.detail && e.detail.scenes) {
      const used = new Set(Object.values(e.detail.scenes).flatMap((s) => s.stands.map((b) => String(b.body))));
      Object.assign(data.bodies, e.detail.bodies);
      data.scenes = e.detail.scenes;
      for (const key of Object.keys(data.bodies).filter((k) => !used.has(k))) {
        delete data.bodies[key];
        const b = loaded.get(key);
        if (b) for (const part of [b.p, b.n, b.t, b.e]) gl.deleteBuffer(part);
        loaded.delete(key);
      }
      if (open && (!open.isConnected || !data.scenes[open.dataset.scene])) { turner.remove(); open = null; }
      if (open) {
        scene = data.scenes[open.dataset.scene];
        fit();
        again();
      }
    }
    offer();
  });
  canvas.addEventListener("webglcontextlost", (e) => { e.preventDefault(); loaded.clear(); close(); lost = true; offer(); });
  new ResizeObserver(again).observe(canvas);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", again);
})();
