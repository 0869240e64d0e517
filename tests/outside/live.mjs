// Works on a served page as a person would: changes what was measured, reads what
// is wrong, saves, makes, books, with the mouse and with nothing but the keyboard;
// nothing on the console, nothing asked of any other address, nothing of weight
// said by axe-core, no sideways scrolling on a phone.
//
//   node tests/outside/live.mjs MODULES DROPRACK JOB_FOLDER [FOLDER_FOR_PICTURES]
//
// MODULES is a folder with playwright-core and axe-core in its node_modules; the
// job folder is copied, and only the copy is worked on.
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";

import { access, browser, count, faults, hold, narrow, open, serve } from "./browser.mjs";

const [, program, folder, pictures] = process.argv.slice(2);
if (pictures) mkdirSync(pictures, { recursive: true });

const place = mkdtempSync(join(tmpdir(), "droprack-live-"));
const job = join(place, "juniper", "job.toml"), bin = join(place, "juniper", "bin.toml");
cpSync(resolve(folder), join(place, "juniper"), { recursive: true });
const was = readFileSync(job, "utf8"), rack = readFileSync(bin, "utf8");

const { server, address } = await serve(program, ["juniper/job.toml"], place);

async function look(name, width, height, colorScheme) {
  const tab = await open(name, address, width, height, colorScheme);
  tab.on("dialog", (d) => d.accept());
  await settled(tab);
  await narrow(tab, name);
  if (pictures) await tab.screenshot({ path: `${pictures}/${name}.png` });
  return tab;
}

const settled = (tab) => tab.waitForFunction(() => document.getElementById("sheet").getAttribute("aria-busy") === "false" && document.querySelector("#cuts svg"));
const box = (tab, name) => tab.locator(`li.value[data-name="${name}"] input`);
const saw = (tab) => tab.locator("#cuts").textContent();

/** Types a value and waits until the sheet says another thing. */
async function type(tab, name, text, differs) {
  const before = await tab.evaluate((d) => document.querySelector(d).innerHTML, differs);
  await box(tab, name).fill(text);
  await tab.waitForFunction(([d, b]) => document.querySelector(d).innerHTML !== b, [differs, before]);
}

async function widths(tab) {
  const first = tab.locator("#part-1");
  const [part, plan] = [await first.textContent(), await saw(tab)];
  await tab.evaluate(() => document.getElementById("cuts").scrollIntoView());
  const down = await tab.evaluate(() => scrollY);
  await box(tab, "tank.width").focus({ preventScroll: true });
  await tab.evaluate((y) => scrollTo(0, y), down);
  await type(tab, "tank.width", "352 mm", "#cuts");
  hold(await first.textContent() !== part, "a wider tank changes the strap");
  hold(await saw(tab) !== plan, "a wider tank changes the cut plan");
  hold(await tab.evaluate(() => document.activeElement.closest("li")?.dataset.name) === "tank.width", "the focus stays in the box");
  hold(Math.abs(await tab.evaluate(() => scrollY) - down) < 200, "the sheet stays where it was scrolled to");
  hold(/make again|drill anew|cut down/.test(await tab.locator("#against").textContent()), "what becomes of made pieces is told");
  hold((await tab.locator("#unsaved").textContent()).startsWith("1 value differs"), "one value differs from the file");
  hold(readFileSync(job, "utf8") === was, "nothing is written before it is saved");
}

async function wrong(tab) {
  const row = tab.locator('li.value[data-name="tank.height"]');
  const plan = await saw(tab);
  await type(tab, "tank.height", "220 kg", 'li.value[data-name="tank.height"] .at-box');
  const told = await row.locator(".at-box").textContent();
  hold(/mass|length/.test(told), `a mass for a length is told at its box: ${told}`);
  hold(await box(tab, "tank.height").getAttribute("aria-invalid") === "true", "the box says that it is wrong");
  hold(await tab.locator("#old").count() === 1 && await saw(tab) === plan, "the last good sheet stays and says so");
  if (pictures) await tab.screenshot({ path: `${pictures}/wrong.png` });
  await box(tab, "tank.height").fill("220 mm");
  await tab.waitForFunction(() => !document.getElementById("old"));
  hold(await row.locator(".at-box").textContent() === "", "mended, nothing is told any more");
}

/** Whether the canvas comes to look so; a busy machine draws late. */
async function comes(canvas, right) {
  for (let i = 0; i < 80; i += 1) {
    if (right(await canvas.screenshot())) return true;
    await new Promise((done) => { setTimeout(done, 100); });
  }
  return false;
}

async function turned(tab) {
  await tab.locator("#part-1 button[data-scene]").click();
  const canvas = tab.locator("canvas");
  await tab.keyboard.press("ArrowLeft");
  await tab.waitForTimeout(500);
  const before = await canvas.screenshot();
  await type(tab, "tank.width", "452 mm", "#part-1");
  await tab.waitForTimeout(500);
  hold(await canvas.count() === 1 && await canvas.isVisible(), "the view in space stays open");
  hold(await comes(canvas, (p) => !p.equals(before)), "the view shows the new strap");
  await type(tab, "tank.width", "352 mm", "#part-1");
  await tab.waitForTimeout(500);
  hold(await comes(canvas, (p) => p.equals(before)), "the view lies as it was turned");
  await tab.locator("#part-1 button[data-scene]").click();
}

async function steps(tab) {
  const more = tab.locator('li.value[data-name="gap.front_left"] [data-by=more]');
  await more.click();
  await tab.waitForFunction(() => document.querySelector('li.value[data-name="gap.front_left"]').classList.contains("changed"));
  hold(await box(tab, "gap.front_left").inputValue() === "150 mm", "plus is one division of the tape");
  await tab.locator('li.value[data-name="gap.front_left"] [data-by=less]').click();
  await tab.waitForFunction(() => !document.querySelector('li.value[data-name="gap.front_left"]').classList.contains("changed"));
  hold(await tab.locator('li.value[data-name="exhaust.side"] .step:visible').count() === 0, "a formula has no buttons");
  hold((await box(tab, "exhaust.side").inputValue()).includes("tank.width / 2"), "a formula is shown as text");
}

/** Each value stands on a sketch, and on a wide screen its box stands there too, in nobody's way. */
async function stands(tab, name, wide) {
  const all = await tab.locator("li.value").evaluateAll((rows) => rows.map((li) => ({
    name: li.dataset.name, tape: li.dataset.tape, letter: li.querySelector(".letter")?.textContent,
    hook: [...document.querySelectorAll(".hooks[data-tape]")].find((h) => h.dataset.tape === li.dataset.tape)?.querySelector("text").textContent,
  })));
  const lost = all.filter((v) => !v.tape || v.letter !== v.hook).map((v) => v.name);
  hold(all.length > 15 && lost.length === 0, `${name}: these stand on no sketch, or bear another letter there: ${lost}`);
  const figures = await tab.locator("figure.measuring").evaluateAll((all) => all.map((f) => {
    const place = (e) => { const r = e.getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom]; };
    return {
      sketch: place(f.querySelector("svg")), boxes: [...f.querySelectorAll("li.value")].map(place),
      letters: [...f.querySelectorAll(".hooks .balloon")].map(place),
    };
  }));
  const meet = (a, b) => a[0] < b[2] - 1 && b[0] < a[2] - 1 && a[1] < b[3] - 1 && b[1] < a[3] - 1;
  let clear = 0;
  for (const f of figures) {
    f.boxes.forEach((b, i) => {
      const own = f.boxes.slice(0, i).some((o) => meet(b, o)) || f.letters.some((l) => meet(b, l));
      const there = wide ? b[1] >= f.sketch[1] - 1 && b[3] <= f.sketch[3] + 1 && b[0] >= f.sketch[0] - 1 && b[2] <= f.sketch[2] + 1 : b[1] >= f.sketch[3] - 1;
      if (!own && there) clear += 1;
    });
  }
  const boxes = figures.reduce((n, f) => n + f.boxes.length, 0);
  hold(boxes === all.length && clear === boxes, `${name}: ${boxes - clear} of ${boxes} boxes stand ${wide ? "beside their sketch" : "on it"}, or in each other's way`);
  // The letter on the sketch leads to the box, and the box in hand shows its tape.
  await tab.locator('.hooks[data-tape$="/pads/rear"] text').click();
  hold(await tab.evaluate(() => document.activeElement.closest("li")?.dataset.name) === "cross.rear", `${name}: a letter leads to its box`);
  hold(await tab.locator('.hooks.held[data-tape$="/pads/rear"]').count() === 1, `${name}: the tape of the box in hand shows`);
}

async function keeps(tab) {
  await tab.locator("[data-act=save]").click();
  await tab.waitForFunction(() => document.getElementById("told").textContent.includes("is saved"));
  const now = readFileSync(job, "utf8");
  hold(now === was.replace('tank.width = "340 mm" ', 'tank.width = "352 mm" '), "the file differs in that value only");
}

async function books(tab) {
  const report = tab.locator("#rack-told");
  await tab.locator("[data-act=book]").click();
  await tab.waitForFunction(() => document.getElementById("rack-told").textContent.includes("make all files first"));
  hold(readFileSync(bin, "utf8") === rack, "what was not made is not booked");
  await tab.locator("[data-act=make]").click();
  await tab.waitForFunction(() => document.getElementById("rack-told").textContent.includes("All files are in"));
  const href = await tab.locator("#files a", { hasText: "drilling-templates.pdf" }).getAttribute("href");
  const pdf = await tab.evaluate(async (h) => { const a = await fetch(h); return [a.status, (await a.text()).slice(0, 5)]; }, href);
  hold(pdf[0] === 200 && pdf[1] === "%PDF-", `the templates can be fetched: ${pdf}`);
  await tab.locator("[data-act=book]").click();
  await tab.waitForFunction(() => document.getElementById("rack-told").textContent.includes("booked in"));
  hold(readFileSync(bin, "utf8") !== rack, "the booking is in the bin");
  if (pictures) await report.screenshot({ path: `${pictures}/booked.png` });
  await tab.locator("[data-act=book]").click();
  await tab.waitForFunction(() => document.getElementById("rack-told").textContent.includes("booked already"));
  await tab.locator("[data-act=undo]").click();
  await tab.waitForFunction(() => document.getElementById("rack-told").textContent.includes("took back"));
  hold(readFileSync(bin, "utf8") === rack, "taken back, the bin is as it was, byte for byte");
}

/** From the top of the page to a saved value with nothing but keys. */
async function keyboard(tab) {
  await tab.reload();
  await settled(tab);
  const here = () => tab.evaluate(() => document.activeElement.closest("li.value")?.dataset.name || document.activeElement.dataset.act || "");
  const to = async (what) => { for (let i = 0; i < 90; i += 1) { await tab.keyboard.press("Tab"); if (await here() === what) return true; } return false; };
  await tab.keyboard.press("Tab");
  await tab.keyboard.press("Enter");
  hold(await to("pedal.joint"), "Tab reaches the last value");
  await tab.keyboard.press("Tab");
  await tab.keyboard.press("Control+A");
  await tab.keyboard.type("99 mm");
  await tab.keyboard.press("Enter");
  await tab.waitForFunction(() => document.getElementById("unsaved").textContent.startsWith("1 value differs"));
  hold(await to("save"), "Tab goes on to saving");
  await tab.keyboard.press("Enter");
  await tab.waitForFunction(() => document.getElementById("told").textContent.includes("is saved"));
  hold(readFileSync(job, "utf8").includes('pedal.joint = "99 mm" '), "a value is changed and saved by keyboard");
}

async function elsewhere(tab) {
  await type(tab, "pedal.joint", "101 mm", "#against");
  const other = readFileSync(job, "utf8").replace("# pivot to where", "# from the pivot to where");
  writeFileSync(job, other);
  await tab.locator("[data-act=save]").click();
  await tab.waitForFunction(() => document.getElementById("told").textContent.includes("another program"));
  hold(readFileSync(job, "utf8") === other, "what another program wrote is not written over");
  await tab.locator("[data-act=reload]").click();
  await tab.waitForFunction(() => document.getElementById("unsaved").textContent === "");
  hold(await box(tab, "pedal.joint").inputValue() === "99 mm", "the file is read again when that is asked for");
}

/** From a change to the sheet that shows it, as the page itself takes the time. */
async function times(tab) {
  const all = [];
  for (let i = 0; i < 24; i += 1) {
    await tab.evaluate(() => { delete document.documentElement.dataset.took; });
    await tab.locator(`li.value[data-name="tank.width"] [data-by=${i % 2 ? "less" : "more"}]`).click();
    await tab.waitForFunction(() => document.documentElement.dataset.took);
    if (i >= 4) all.push(Number(await tab.evaluate(() => document.documentElement.dataset.took)));
  }
  all.sort((a, b) => a - b);
  console.log(`live: a change of tank.width takes ${all[10].toFixed(0)} ms in the middle, ${all[0].toFixed(0)} to ${all[19].toFixed(0)} ms, of ${all.length}`);
}

try {
  const desk = await look("live-desktop-light", 1366, 900, "light");
  await stands(desk, "live-desktop-light", true);
  await widths(desk);
  await wrong(desk);
  await turned(desk);
  await steps(desk);
  await access(desk, "live-desktop-light");
  if (pictures) {
    for (const id of ["cuts", "rack", "files"]) {
      await desk.evaluate((i) => document.getElementById(i).scrollIntoView(), id);
      await desk.screenshot({ path: `${pictures}/live-desktop-${id}.png` });
    }
    await desk.locator("#against").screenshot({ path: `${pictures}/against.png` });
  }
  await keeps(desk);
  await books(desk);
  await keyboard(desk);
  await elsewhere(desk);
  await times(desk);
  await desk.close();
  const night = await look("live-phone-dark", 390, 780, "dark");
  await access(night, "live-phone-dark");
  await stands(night, "live-phone-dark", false);
  const tablet = await look("live-tablet-light", 800, 1100, "light");
  await stands(tablet, "live-tablet-light", true);
  await access(tablet, "live-tablet-light");
  if (pictures) {
    await night.screenshot({ path: `${pictures}/live-phone-dark-all.png`, clip: { x: 0, y: 0, width: 390, height: 3200 }, fullPage: true });
    await look("live-desktop-dark", 1366, 900, "dark");
  }
} finally {
  await browser.close();
  server.kill();
  rmSync(place, { recursive: true, force: true });
}
faults.forEach((f) => console.error(`FAULT ${f}`));
console.log(`live page: ${count()} passed, ${faults.length} failed`);
process.exit(faults.length ? 1 : 0);
