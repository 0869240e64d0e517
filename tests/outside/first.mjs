// The first evening as a person has it, with nothing but the keyboard: from a
// program that was started without a job to paper in the hand. Nothing on the
// console, nothing asked of any other address, nothing of weight said by axe-core,
// no sideways scrolling on a phone, nothing written before it is asked for.
//
//   node tests/outside/first.mjs MODULES DROPRACK [FOLDER_FOR_PICTURES]
//
// MODULES is a folder with playwright-core and axe-core in its node_modules.
import { existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

import { access, browser, count, faults, hold, narrow, open, serve } from "./browser.mjs";

const [, program, pictures] = process.argv.slice(2);
if (pictures) mkdirSync(pictures, { recursive: true });
const places = [], servers = [];

/** The program without a job, in an empty folder. */
async function start() {
  const place = mkdtempSync(join(tmpdir(), "droprack-first-"));
  places.push(place);
  const { server, address } = await serve(program, [], place);
  servers.push(server);
  return { place, address };
}

async function look(name, address, width, height, colorScheme) {
  const tab = await open(name, address, width, height, colorScheme, { acceptDownloads: true });
  await settled(tab);
  return tab;
}

const settled = (tab) => tab.waitForFunction(() => document.getElementById("first").getAttribute("aria-busy") === "false");
const shot = async (tab, name) => { if (pictures) await tab.screenshot({ path: `${pictures}/${name}.png`, fullPage: true }); };

/** Where the focus is: the name of a question, of a set of radio buttons, or an id. */
const here = (tab) => tab.evaluate(() => {
  const e = document.activeElement;
  return e.dataset.by ? "" : e.closest("li.value")?.dataset.name || e.getAttribute("name") || e.id || e.dataset.act || e.getAttribute("href") || e.tagName;
});
async function tabTo(tab, what) {
  for (let i = 0; i < 120; i += 1) {
    if (await here(tab) === what) { hold(await seen(tab), `${what}: the focus can be seen`); return; }
    await tab.keyboard.press("Tab");
  }
  hold(false, `Tab does not reach ${what}`);
}
/** Whether what has the focus lies on the screen and not under the bar at its lower edge. */
const seen = (tab) => tab.evaluate(() => {
  const e = document.activeElement, r = e.getBoundingClientRect(), bar = document.querySelector(".make");
  const low = bar && !bar.contains(e) && bar.getBoundingClientRect().height ? Math.min(innerHeight, bar.getBoundingClientRect().top) : innerHeight;
  return r.bottom > 0 && r.top < low;
});
/** Picks a radio button of the set that has the focus, with the arrow keys. */
async function arrowTo(tab, group, value) {
  await tabTo(tab, group);
  await tab.keyboard.press("Space");
  for (let i = 0; i < 40; i += 1) {
    if (await tab.evaluate((g) => document.querySelector(`input[name="${g}"]:checked`)?.value, group) === value) { await settled(tab); return; }
    await tab.keyboard.press("ArrowDown");
  }
  hold(false, `the arrow keys do not reach ${value}`);
}
async function answer(tab, name, text) {
  await tabTo(tab, name);
  // Past the button that steps down, into the box.
  while (!["INPUT", "SELECT"].includes(await tab.evaluate(() => document.activeElement.tagName))) await tab.keyboard.press("Tab");
  await tab.keyboard.type(text);
  await tab.waitForFunction(([n]) => document.querySelector(`li.value[data-name="${n}"]`).matches(".changed, :has([aria-invalid])"), [name]);
}

async function choose(tab) {
  await tab.keyboard.press("Tab");
  hold(await here(tab) === "#what", "the first stop leads past the head");
  await tab.keyboard.press("Enter");
  await arrowTo(tab, "carries", "fuel tank");
  await arrowTo(tab, "fixed_to", "frame rail");
  await tab.waitForFunction(() => document.querySelectorAll(".offer svg").length === 3);
  hold((await tab.locator("#offers").textContent()).includes("3 parts fit"), "what fits is offered, each with its sketch");
  await arrowTo(tab, "template", "tank-strap");
  await tab.waitForFunction(() => document.querySelector("li.value[data-name=width]"));
}

async function measure(tab, place) {
  await tabTo(tab, "title");
  await tab.keyboard.type("Juniper main tank");
  await answer(tab, "section", "rectangle");
  await answer(tab, "width", "340 mn");
  const told = await tab.locator("li.value[data-name=width] .at-box").textContent();
  hold(told.includes("'mn' is not a unit"), `a wrong unit is told at its box: ${told}`);
  await shot(tab, "first-wrong");
  await tab.keyboard.press("Control+A");
  await tab.keyboard.type("340 mm");
  await tab.waitForFunction(() => document.querySelector("li.value[data-name=width].changed"));
  await tab.waitForFunction(() => document.querySelector("li.value[data-name=height] input").placeholder === "usual: 340 mm");
  hold(true, "a usual answer follows what was measured");
  await tab.keyboard.press("Tab");
  await tab.keyboard.press("Enter");
  await tab.waitForFunction(() => document.querySelector("li.value[data-name=width] input").value === "341 mm");
  hold(true, "plus is one division of the tape");
  await answer(tab, "height", "220 mm");
  await tab.waitForFunction(() => document.getElementById("status").textContent.startsWith("All is there"));
  hold(readdirSync(place).length === 0, "nothing is written before it is asked for");
  await access(tab, "first, answered");
  await narrow(tab, "first, answered");
}

/** From the button to a file on the disk. */
async function paper(tab, place) {
  await tabTo(tab, "make");
  await tab.keyboard.press("Enter");
  await tab.waitForFunction(() => document.getElementById("begun"));
  const job = join(place, "juniper-main-tank", "job.toml");
  hold(readFileSync(job, "utf8").includes('strap.width = "341 mm"'), "the job is in its own folder");
  await tab.waitForFunction(() => document.getElementById("sheet").getAttribute("aria-busy") === "false" && document.querySelector("#cuts h2"));
  hold(await tab.locator('li.value[data-name="strap.width"] svg, li.value[data-name="strap.width"] input').count() > 0, "the reading has its box on the sheet at work");
  hold(await tab.locator(".measuring svg").count() === 1, "it stands beside its sketch");
  await access(tab, "begun");
  await narrow(tab, "begun");
  if (pictures) await tab.screenshot({ path: `${pictures}/begun.png` });
  await tab.setViewportSize({ width: 390, height: 780 });
  await narrow(tab, "begun, on a phone");
  if (pictures) await tab.screenshot({ path: `${pictures}/begun-phone.png` });
  await tab.setViewportSize({ width: 1366, height: 900 });
  await tabTo(tab, "make");
  await tab.keyboard.press("Enter");
  await tab.waitForFunction(() => document.querySelector("#begun-told .paper"));
  if (pictures) await tab.screenshot({ path: `${pictures}/begun-made.png` });
  await tabTo(tab, "drilling-templates.pdf");
  const coming = tab.waitForEvent("download").then((d) => d.path());
  // As a keyboard downloads a link: Alt and Enter.
  await tab.keyboard.press("Alt+Enter");
  const pdf = readFileSync(await coming);
  hold(pdf.subarray(0, 5).toString() === "%PDF-" && pdf.length > 2_000, `the templates come as a PDF of ${pdf.length} bytes`);
  hold(existsSync(join(place, "output", "juniper-main-tank", "packet.pdf")), "the packet lies in the output folder");
}

/** The same by finger on a phone and at night: how it looks, and that it fits. */
async function looks(name, width, height, scheme) {
  const { address } = await start();
  const tab = await look(name, address, width, height, scheme);
  await narrow(tab, name);
  await access(tab, name);
  await shot(tab, `${name}-1`);
  await tab.locator('input[name=carries][value="battery or box"]').check();
  await tab.locator('input[name=fixed_to][value="joint or lever"]').check();
  await tab.waitForFunction(() => document.getElementById("offers").textContent.includes("No part here is for"));
  await shot(tab, `${name}-none`);
  await tab.locator('input[name=carries][value="?"]').check();
  await tab.locator('input[name=fixed_to][value="?"]').check();
  await tab.waitForFunction(() => document.querySelectorAll(".offer").length >= 17);
  await narrow(tab, `${name}, all`);
  await access(tab, `${name}, all`);
  await shot(tab, `${name}-all`);
  for (const template of await tab.locator("input[name=template]").evaluateAll((all) => all.map((i) => i.value))) {
    await tab.locator(`input[name=template][value="${template}"]`).check();
    await tab.waitForFunction((t) => document.querySelector("[data-of]")?.dataset.of === t, template);
    await tab.locator("#more summary").click();
    await narrow(tab, `${name}, ${template}`);
  }
  await tab.locator('input[name=carries][value="fuel tank"]').check();
  await tab.locator("input[name=template][value=tank-strap]").check();
  await tab.locator("input[name=units][value=inch]").check();
  await tab.waitForFunction(() => [...document.querySelectorAll("#more input")].some((i) => i.placeholder === "usual: 1-1/2 in"));
  await tab.locator("li.value[data-name=width] input").fill("13-3/8 in");
  await tab.locator("li.value[data-name=section] select").selectOption("rectangle");
  await tab.locator("li.value[data-name=ear_station] input").fill("2 in");
  await tab.waitForFunction(() => document.querySelector("li.value[data-name=ear_station] .fault, li.value[data-name=ear_station].changed"));
  await access(tab, `${name}, asked`);
  await shot(tab, `${name}-asked`);
  if (pictures) {
    await tab.evaluate(() => document.getElementById("measure").scrollIntoView());
    await tab.screenshot({ path: `${pictures}/${name}-screen.png` });
  }
  await tab.reload();
  await settled(tab);
  hold(await tab.locator("li.value[data-name=width] input").inputValue() === "13-3/8 in", `${name}: what was typed is there after a reload`);
  await tab.close();
}

try {
  const { place, address } = await start();
  const desk = await look("first", address, 1366, 900, "light");
  await choose(desk);
  await measure(desk, place);
  await shot(desk, "first-answered");
  await paper(desk, place);
  await desk.close();
  await looks("first-phone-dark", 390, 780, "dark");
  await looks("first-desktop-light", 1366, 900, "light");
  if (pictures) {
    await looks("first-phone-light", 390, 780, "light");
    await looks("first-desktop-dark", 1366, 900, "dark");
  }
} finally {
  await browser.close();
  servers.forEach((s) => s.kill());
  places.forEach((p) => rmSync(p, { recursive: true, force: true }));
}
faults.forEach((f) => console.error(`FAULT ${f}`));
console.log(`first evening: ${count()} passed, ${faults.length} failed`);
process.exit(faults.length ? 1 : 0);
