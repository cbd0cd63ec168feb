// Opens a report in a browser and prints, as JSON, what is wrong with it:
// accessibility violations by axe-core, in light and dark and on a wide and a
// narrow screen; pages wider than the screen; and how many pages it prints on.
//
//   node check.mjs CHROMIUM REPORT.html
import { chromium } from "playwright-core";
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const [executablePath, file] = process.argv.slice(2);
const browser = await chromium.launch({ executablePath, args: ["--no-sandbox"] });
const found = { violations: [], overflow: [], requests: [], pages: 0, rules: 0 };
for (const width of [1280, 390]) {
  for (const colorScheme of ["light", "dark"]) {
    // The policy of the page forbids scripts, axe among them.
    const context = await browser.newContext({ viewport: { width, height: 900 }, colorScheme, bypassCSP: true });
    const page = await context.newPage();
    page.on("request", (r) => {
      if (!r.url().startsWith("file:") && !r.url().startsWith("data:")) found.requests.push(r.url());
    });
    await page.goto(pathToFileURL(resolve(file)).href);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    if (wide > width) found.overflow.push(`${wide} px on a screen of ${width}`);
    if (width === 1280 && colorScheme === "light") {
      const pdf = (await page.pdf({ preferCSSPageSize: true, format: "A4" })).toString("latin1");
      found.pages = (pdf.match(/\/Type\s*\/Page[^s]/g) ?? []).length;
    }
    await page.evaluate(axe);
    const result = await page.evaluate(() => axe.run(document));
    found.rules = Math.max(found.rules, result.passes.length);
    for (const v of result.violations) {
      found.violations.push(`${v.id} (${v.impact}, ${width} px, ${colorScheme}): ${v.help}: ${v.nodes[0].html.slice(0, 200)}`);
    }
    await context.close();
  }
}
await browser.close();
console.log(JSON.stringify(found));
