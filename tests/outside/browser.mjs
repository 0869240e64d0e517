// What the scripts of the pages share: the browser and its tabs, the served
// program, what was held and what was not, and what axe-core says.
import { spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { resolve } from "node:path";

export const faults = [];
let held = 0;
export const hold = (what, words) => { if (what) held += 1; else faults.push(words); };
export const count = () => held;

const require = createRequire(resolve(process.argv[2], "x.js"));
const { chromium } = require("playwright-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");

export const browser = await chromium.launch({
  timeout: 120_000,
  executablePath: process.env.CHROMIUM || "/usr/bin/chromium",
  args: ["--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update",
    "--disable-sync", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"],
});

export async function access(tab, name) {
  await tab.evaluate(axe);
  const result = await tab.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
  for (const v of result.violations) {
    const where = `${v.nodes.length} x, as ${v.nodes[0].target} ${v.nodes[0].failureSummary.replace(/\s+/g, " ").slice(0, 200)}`;
    if (["serious", "critical"].includes(v.impact)) faults.push(`${name}: axe ${v.id}: ${v.help}: ${where}`);
    else console.log(`note: ${name}: axe ${v.id} (${v.impact}): ${where}`);
  }
  hold(result.passes.length > 10, `${name}: axe looked at little`);
}

/** The program serving a page, started in a folder; its process, and the address that it tells. */
export async function serve(program, words, folder) {
  const server = spawn(resolve(program), ["page", ...words, "--no-open"], { cwd: folder, stdio: ["ignore", "pipe", "pipe"] });
  let said = "";
  server.stderr.on("data", (d) => { said += d; });
  const address = await new Promise((done, failed) => {
    let text = "";
    server.stdout.on("data", (d) => { text += d; if (text.includes("\n")) done(text.split("\n")[0]); });
    server.on("exit", () => failed(new Error(`the program ended: ${said}`)));
  });
  return { server, address };
}

/** A tab of a size; what it says on its console or asks of another place is a fault. */
export async function open(name, address, width, height, colorScheme, more = {}) {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme, hasTouch: width < 500, ...more });
  const tab = await context.newPage();
  tab.setDefaultTimeout(90_000);
  tab.on("console", (m) => { if (m.type() === "error") faults.push(`${name}: console: ${m.text()}`); });
  tab.on("pageerror", (e) => faults.push(`${name}: ${e.message}`));
  tab.on("request", (r) => { if (!r.url().startsWith(address) && !/^(data|blob):/.test(r.url())) faults.push(`${name}: asks for ${r.url()}`); });
  await tab.goto(address);
  return tab;
}

/** Nothing stands out of the screen, once its size has been taken up. */
export async function narrow(tab, name) {
  await tab.waitForFunction(() => document.documentElement.scrollWidth <= innerWidth, null, { timeout: 10_000 }).catch(() => {});
  const wide = await tab.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  hold(wide <= 0, `${name}: the page is ${wide} px wider than the screen`);
}
