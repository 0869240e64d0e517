// Opens a made page from the disk in a browser, as a person would: no faults on
// its console, nothing asked of any network, holes by keyboard, the view in
// space by keys, mouse and fingers, no sideways scrolling on a phone, and what axe-core says of it.
//
//   node tests/outside/page.mjs MODULES INDEX_HTML [FOLDER_FOR_PICTURES]
//
// MODULES is a folder with playwright-core and axe-core in its node_modules; the
// browser is Debian's chromium.
import { mkdirSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

import { access, browser, count, faults, hold, narrow, open } from "./browser.mjs";

const [, page, pictures] = process.argv.slice(2);
const address = pathToFileURL(resolve(page)).href;
if (pictures) mkdirSync(pictures, { recursive: true });

async function look(name, width, height, colorScheme) {
  const tab = await open(name, address, width, height, colorScheme);
  await narrow(tab, name);
  if (pictures) await tab.screenshot({ path: `${pictures}/${name}.png` });
  return tab;
}

async function holes(tab) {
  const first = tab.locator(".hole").first();
  const figure = tab.locator("figure.flat", { has: tab.locator(".hole") }).filter({ has: tab.locator(".hole ~ .hole") }).first();
  await first.focus();
  const all = figure.locator(".hole");
  await all.first().focus();
  const read = await figure.locator(".reading").textContent();
  hold(/Hole .+: X .+ mm.+ in.+ Y .+, (diameter|slot|ellipse|opening) /.test(read), `reading of a hole: ${read}`);
  await tab.keyboard.press("Enter");
  await tab.keyboard.press("ArrowRight");
  const next = await figure.locator(".reading").textContent();
  hold(next !== read, "the arrow key goes on to another hole");
  await tab.keyboard.press("Enter");
  const places = await all.evaluateAll((g) => g.slice(0, 2).map((h) => h.dataset.at.split(" ").map(Number)));
  const far = Math.hypot(places[0][0] - places[1][0], places[0][1] - places[1][1]);
  const said = await figure.locator(".between").textContent();
  const told = Number(/centres: ([0-9.]+) mm/.exec(said)?.[1]);
  hold(Math.abs(told - far) <= 0.051, `distance ${far} is told as: ${said}`);
  if (pictures) await figure.screenshot({ path: `${pictures}/holes.png` });
  await tab.keyboard.press("Escape");
  hold(await figure.locator(".between").textContent() === "", "Escape lets go of the holes");
  // By touch or mouse the same words come.
  await all.first().locator(".touch").click({ force: true });
  hold(await figure.locator(".reading").textContent() === read, "a tap reads the hole");
}

/** A picture of the canvas once it is as it should be; a busy machine draws late. */
async function drawn(canvas, words, right) {
  let last;
  for (let i = 0; i < 60; i += 1) {
    last = await canvas.screenshot();
    if (right(last)) { hold(true, ""); return last; }
    await new Promise((done) => { setTimeout(done, 100); });
  }
  faults.push(words);
  return last;
}

async function turns(tab, name) {
  const button = tab.locator("button[data-scene]").first();
  hold(await button.isVisible(), `${name}: the view in space is offered`);
  await button.click();
  const canvas = tab.locator("canvas");
  hold(await canvas.evaluate((c) => document.activeElement === c), `${name}: the view is in hand`);
  await tab.waitForTimeout(500);
  const before = await drawn(canvas, `${name}: something is drawn`, (p) => p.length > 3000);
  if (pictures) await canvas.screenshot({ path: `${pictures}/${name}-3d.png` });
  await tab.keyboard.press("ArrowLeft");
  const after = await drawn(canvas, `${name}: the arrow keys turn the view`, (p) => !p.equals(before));
  const box = await canvas.boundingBox();
  await tab.mouse.move(box.x + 50, box.y + 50);
  await tab.mouse.down();
  await tab.mouse.move(box.x + 130, box.y + 70, { steps: 4 });
  await tab.mouse.up();
  await tab.waitForTimeout(300);
  const dragged = await drawn(canvas, `${name}: dragging turns the view`, (p) => !p.equals(after));
  await tab.keyboard.press("+");
  await drawn(canvas, `${name}: plus comes nearer`, (p) => !p.equals(dragged));
  await tab.keyboard.press("0");
  await drawn(canvas, `${name}: nought puts the view back`, (p) => p.equals(before));
  await button.click();
  hold(await tab.locator(".still").first().isVisible(), `${name}: the drawing comes back`);
}

/** Fingers on the screen, as the browser gets them from its driver: each a place on the sheet. */
async function fingers(tab) {
  const driver = await tab.context().newCDPSession(tab);
  const send = (type, points) => driver.send("Input.dispatchTouchEvent", { type, touchPoints: points.map(([x, y], id) => ({ x, y, id })) });
  return {
    down: (...points) => send("touchStart", points),
    lift: () => send("touchEnd", []),
    /** From some places to others in steps. */
    async drag(from, to) {
      await send("touchStart", from);
      for (let k = 1; k <= 8; k += 1) await send("touchMove", from.map(([x, y], i) => [x + (to[i][0] - x) * k / 8, y + (to[i][1] - y) * k / 8]));
      await send("touchEnd", []);
    },
    async tap(at) { await send("touchStart", [at]); await send("touchEnd", []); },
  };
}

/** The view in space and the holes with fingers alone. */
async function touched(tab, name) {
  const touch = await fingers(tab);
  const middle = async (what) => { const b = await what.boundingBox(); return [b.x + b.width / 2, b.y + b.height / 2]; };
  const button = tab.locator("button[data-scene]").first();
  await button.evaluate((b) => b.scrollIntoView({ block: "center" }));
  await tab.waitForTimeout(200);
  await touch.tap(await middle(button));
  const canvas = tab.locator("canvas");
  await canvas.waitFor();
  await canvas.evaluate((c) => c.scrollIntoView({ block: "center" }));
  await tab.waitForTimeout(400);
  const before = await drawn(canvas, `${name}: a tap opens the view`, (p) => p.length > 3000);
  const [x, y] = await middle(canvas), down = await tab.evaluate(() => scrollY);
  await touch.drag([[x, y]], [[x + 30, y - 80]]);
  const turned = await drawn(canvas, `${name}: one finger turns the view`, (p) => !p.equals(before));
  await tab.waitForTimeout(300);
  hold(await tab.evaluate(() => scrollY) === down, `${name}: a finger on the view does not scroll the sheet`);
  await touch.drag([[x - 30, y], [x + 30, y]], [[x - 75, y], [x + 75, y]]);
  const near = await drawn(canvas, `${name}: two fingers come nearer`, (p) => !p.equals(turned));
  await touch.drag([[x - 75, y], [x + 75, y]], [[x - 30, y], [x + 30, y]]);
  await drawn(canvas, `${name}: two fingers go as far again`, (p) => p.equals(turned) || (!p.equals(near) && Math.abs(p.length - turned.length) < turned.length / 20));
  hold(await tab.evaluate(() => visualViewport.scale) === 1, `${name}: two fingers on the view do not enlarge the sheet`);
  await touch.tap([x, y]);
  await tab.waitForTimeout(500);
  await touch.tap([x, y]);
  await tab.waitForTimeout(500);
  hold(!(await canvas.screenshot()).equals(before), `${name}: two slow taps leave the view as it is`);
  await touch.tap([x, y]);
  await touch.tap([x + 4, y - 3]);
  await drawn(canvas, `${name}: two taps put the view back`, (p) => p.equals(before));
  if (pictures) await tab.screenshot({ path: `${pictures}/${name}-touch-3d.png` });
  // Beside the view a finger scrolls.
  const head = tab.locator("#parts > h2");
  await head.evaluate((h) => h.scrollIntoView({ block: "center" }));
  await tab.waitForTimeout(200);
  const from = await tab.evaluate(() => scrollY), [hx, hy] = await middle(head);
  await touch.drag([[hx, hy]], [[hx, hy - 160]]);
  await tab.waitForTimeout(500);
  hold(await tab.evaluate(() => scrollY) > from + 60, `${name}: beside the view a finger scrolls the sheet`);
  const figure = tab.locator("figure.flat", { has: tab.locator(".hole") }).first();
  const hole = figure.locator(".hole").last();
  await hole.evaluate((h) => h.scrollIntoView({ block: "center", inline: "center" }));
  await tab.waitForTimeout(200);
  await touch.tap(await middle(hole.locator(".touch")));
  await tab.waitForTimeout(400);
  const read = await figure.locator(".reading").textContent();
  hold(read === await hole.getAttribute("aria-label") + "." && /X .+ Y .+, (diameter|slot|ellipse|opening) /.test(read), `${name}: a tap reads the hole: ${read}`);
  hold(await hole.getAttribute("aria-pressed") === "true", `${name}: a tapped hole is chosen`);
  if (pictures) await tab.screenshot({ path: `${pictures}/${name}-touch-hole.png` });
}

try {
  const desk = await look("desktop-light", 1280, 900, "light");
  await holes(desk);
  await turns(desk, "desktop-light");
  await access(desk, "desktop-light");
  const night = await look("phone-dark", 360, 740, "dark");
  await access(night, "phone-dark");
  await touched(await look("phone-touch", 360, 740, "light"), "phone-touch");
  if (pictures) {
    const dark = await look("desktop-dark", 1280, 900, "dark");
    const phone = await look("phone-light", 360, 740, "light");
    await turns(phone, "phone-light");
    for (const [tab, name] of [[desk, "desktop-light"], [dark, "desktop-dark"], [phone, "phone-light"], [night, "phone-dark"]]) {
      for (const id of ["parts", "part-2", "part-3", "findings", "cuts", "buy", "order", "files"]) {
        if (!(await tab.locator(`#${id}`).count())) continue;
        await tab.evaluate((i) => document.getElementById(i).scrollIntoView(), id);
        await tab.screenshot({ path: `${pictures}/${name}-${id}.png` });
      }
    }
    await desk.emulateMedia({ media: "print" });
    await desk.pdf({ path: `${pictures}/print.pdf`, format: "A4" });
  }
} finally {
  await browser.close();
}
faults.forEach((f) => console.error(`FAULT ${f}`));
console.log(`page: ${count()} passed, ${faults.length} failed`);
process.exit(faults.length ? 1 : 0);
