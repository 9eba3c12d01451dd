// A certificate in a real browser: one sheet of A4 however full it is, nothing
// beside the screen of a phone. Uses masseter_report_example, which stands
// beside MASSETER_REPLAY; pictures go to MASSETER_SHOTS.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { mkdirSync } from "node:fs";
import { dirname, join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import { browse } from "./replay.ts";

const build = dirname(process.env["MASSETER_REPLAY"] ?? ".");
const shots = process.env["MASSETER_SHOTS"] ?? join(build, "screenshots");
const file = join(shots, "certificate.html");

let browser: Browser;
let page: Page;

before(async () => {
  mkdirSync(shots, { recursive: true });
  execFileSync(join(build, "masseter_report_example"), ["--certificate", file]);
  browser = await browse();
  page = await browser.newPage();
  await page.goto(`file://${file}`);
});
after(() => browser?.close());

test("the fullest certificate prints on one sheet of A4", async () => {
  const pdf = await page.pdf({ preferCSSPageSize: true, printBackground: true });
  const text = pdf.toString("latin1");
  assert.equal((text.match(/\/Type\s*\/Page\b/g) ?? []).length, 1);
  // A4 in points: 210 mm by 297 mm.
  const box = /\/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)/.exec(text);
  assert.ok(box, "a page size");
  assert.ok(Math.abs(Number(box[1]) - 595.3) < 1.5, box[0]);
  assert.ok(Math.abs(Number(box[2]) - 841.9) < 1.5, box[0]);
});

test("nothing of it stands beside a phone's screen", async () => {
  await page.setViewportSize({ width: 390, height: 844 });
  const wide = await page.evaluate(() => document.documentElement.scrollWidth);
  assert.ok(wide <= 390, `${wide} px wide`);
  await page.screenshot({ path: join(shots, "certificate-phone.png"), fullPage: true });
});
