// What both scripts of the page share: the browser, what was held and what was
// not, and what axe-core says.
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
