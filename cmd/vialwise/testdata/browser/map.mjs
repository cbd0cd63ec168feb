// Opens a map in a browser, works it by keyboard alone and prints, as JSON, what
// was seen: whether the page was ready and how soon, what each key changed, how
// long a change took, areas and rows without and with scripts, and by how much the
// caption of the table reaches out of a narrow window.
//
//   node map.mjs CHROMIUM MAP.html
import { chromium } from "playwright-core";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [executablePath, file] = process.argv.slice(2);
const url = pathToFileURL(resolve(file)).href;
const browser = await chromium.launch({ executablePath, args: ["--no-sandbox"] });
const found = { ready: 0, change: 0, steps: [], errors: [], static: {}, click: "" };
const state = (page) => page.evaluate(() => ({
  title: document.getElementById("title").textContent,
  caption: document.getElementById("caption").textContent,
  told: document.getElementById("told").textContent,
  rows: document.querySelectorAll("#rows tr").length,
  shown: document.querySelectorAll(".area:not(.few)").length,
  numbers: [...document.querySelectorAll(".numbers text")].filter((e) => e.textContent !== "").length,
  about: document.getElementById("about").textContent,
  focus: document.activeElement.id || document.activeElement.name || document.activeElement.tagName,
  value: document.getElementById("season").getAttribute("aria-valuetext"),
}));

const plain = await browser.newContext({ javaScriptEnabled: false, viewport: { width: 1280, height: 900 } });
const still = await plain.newPage();
await still.goto(url);
found.static = {
  rows: await still.locator("#rows tr").count(), shown: await still.locator(".area:not(.few)").count(),
  title: await still.locator("#title").textContent(), controls: await still.locator("#choose").isVisible(),
};
await plain.close();

const page = await (await browser.newContext({ viewport: { width: 1280, height: 900 } })).newPage();
page.on("pageerror", (e) => found.errors.push(String(e)));
page.on("console", (m) => { if (m.type() === "error") found.errors.push(m.text()); });
const begun = Date.now();
await page.goto(url);
await page.waitForFunction(() => document.documentElement.dataset.ready === "yes");
found.ready = Date.now() - begun;
found.steps.push({ key: "", ...(await state(page)) });
// Tab: skip link, acaricide, season, area; never a pointer.
for (const key of ["Tab", "Tab", "ArrowRight", "Tab", "ArrowLeft", "Home", "End", "Tab", "ArrowDown"]) {
  const from = Date.now();
  await page.keyboard.press(key);
  const now = await state(page);
  if (key.startsWith("Arrow") || key === "Home" || key === "End") found.change = Math.max(found.change, Date.now() - from);
  found.steps.push({ key, ...now });
}
await page.locator(".area").first().click({ force: true });
found.click = (await state(page)).about;
await page.setViewportSize({ width: 500, height: 900 });
found.caption = await page.locator("caption div").evaluate((e) => e.getBoundingClientRect().right - document.documentElement.clientWidth);
await browser.close();
console.log(JSON.stringify(found));
