// Prints a page on paper of several heights and writes, as JSON, the PDFs in base64.
//
//   node print.mjs CHROMIUM PAGE.html
import { chromium } from "playwright-core";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [executablePath, file] = process.argv.slice(2);
const browser = await chromium.launch({ executablePath, args: ["--no-sandbox"] });
const page = await browser.newPage();
await page.goto(pathToFileURL(resolve(file)).href);
const found = { pdfs: [] };
for (const width of [210, 214, 218, 222, 226]) { // the height of what is printed across
  found.pdfs.push((await page.pdf({ width: `${width}mm`, height: "297mm" })).toString("base64"));
}
await browser.close();
console.log(JSON.stringify(found));
