// The live page in a real browser against the real server. Needs
// MASSETER_REPLAY=<build>/masseter_replay; screenshots go to MASSETER_SHOTS,
// else beside that program.
import assert from "node:assert/strict";
import { test } from "node:test";
import type { Page } from "playwright-core";
import {
  becomes, escape, fits, LAPTOP, more, NARROW, open as openOn, PHONE, shot, text,
  type Size, type Wishes,
} from "./page.ts";
import { Replay, stage } from "./replay.ts";

const on = stage();

const open = (size: Size, wishes: Wishes = {}) =>
  openOn(on.browser, on.replay.url, size, { scale: 2, ...wishes });

/** Pixels of the trace that have the hatching's colour. */
const hatched = (page: Page) => page.evaluate(() => {
  const canvas = document.querySelector("canvas")!;
  const hex = getComputedStyle(canvas).getPropertyValue("--hatch").trim();
  const want = [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16));
  const copy = document.createElement("canvas");
  [copy.width, copy.height] = [canvas.width, canvas.height];
  const pen = copy.getContext("2d", { willReadFrequently: true })!;
  pen.drawImage(canvas, 0, 0);
  const { data } = pen.getImageData(0, 0, copy.width, copy.height);
  let count = 0;
  for (let i = 0; i < data.length; i += 4) {
    if (data[i + 3]! > 200 &&
        want.every((w, k) => Math.abs(w - data[i + k]!) < 6)) count += 1;
  }
  return count;
});

/** Evidence, the day's dots and the operator's menu. */
async function sheetsOf(page: Page, name: string): Promise<void> {
  await page.click('.bite[data-bite="6"]');
  await becomes(page, ".reasons", /samples missing gap.*gripped at the edge edge/);
  await becomes(page, ".sheet dl", /Squeeze.*Held.*Rise.*Impulse.*Place/);
  await shot(page, `${name}-5-evidence`);
  await escape(page);
  await page.click('.bite[data-bite="1"]');
  await becomes(page, ".sheet .peak", /≥ \d+ N/);
  await becomes(page, ".sheet .judged", /doubtful, at least.*only a lower bound/);
  await escape(page);

  await page.click(".bydogs");
  await becomes(page, ".bydog .name", /Brisk.*Juno/);
  const told = await page.locator(".bite").count() -
    await page.locator(".bite", { hasText: "no figure" }).count();
  assert.equal(await page.locator(".bydog [data-dot]").count(), told);
  assert.match(await text(page, ".sheet ul.hidden"),
    /Brisk: .*743 plus or minus 6 newtons, sound/);
  assert.ok(await page.evaluate(() => {
    const sheet = document.querySelector(".sheet")!;
    return sheet.scrollWidth <= sheet.clientWidth;
  }), "the sheet scrolls sideways");
  await shot(page, `${name}-8-dogs`);
  await escape(page);

  await page.click(".dots");
  await becomes(page, ".tiles", /Dogs.*Running order.*Note.*Limits/);
  await shot(page, `${name}-6-more`);
  await escape(page);
}

for (const [device, viewport] of [["phone", PHONE], ["laptop", LAPTOP]] as const) {
  for (const night of [false, true]) {
    const name = `${device}-${night ? "night" : "day"}`;
    test(`The figures of a day, ${name}`, async () => {
      on.replay.seek(76);
      const { page, complaints, close } = await open(viewport, { night });
      await becomes(page, ".figure .word", /^ready$/);
      await becomes(page, ".head h1", /^Brisk/);
      assert.equal(await page.locator(".bite").count() >= 4, true);
      await fits(page, name);
      await shot(page, `${name}-1-ready`);

      on.replay.seek(81.6);
      await becomes(page, ".figure .label", /highest so far/);
      await becomes(page, ".figure .large", /^743 ± 6 N$/);
      await becomes(page, ".figure .more", /squeeze \d+ ± \d+ N · held 1\.6 s/);
      assert.equal(await page.getAttribute("canvas", "data-gaps"), "0");
      const before = await hatched(page);
      await fits(page, name);
      await shot(page, `${name}-2-bite`);

      on.replay.seek(84.5);
      await becomes(page, ".figure .large", /^743 ± 6 N$/);
      await becomes(page, ".figure .verdict", /^sound$/);
      await becomes(page, ".figure .under", /75\.8 kgf/);
      await shot(page, `${name}-3-measured`);

      on.replay.seek(110);
      await becomes(page, ".figure .verdict", /^doubtful$/);
      await becomes(page, ".figure .large", /^1 200 ± 40 N$/);
      await page.waitForSelector('canvas[data-gaps="1"]');
      const during = await hatched(page);
      assert.ok(during > before + 300, `hatched ${before} to ${during} pixels`);
      await fits(page, name);
      await shot(page, `${name}-4-gap`);

      if (!night) await sheetsOf(page, name);
      on.replay.say("silent");
      await becomes(page, ".status", /No data from the sleeve since \d\d:\d\d:\d\d/);
      assert.equal(await page.locator(".page.old").count(), 1);
      assert.ok(await page.locator(".status").isVisible());
      const top = await page.locator(".status").boundingBox();
      assert.ok(top && top.y >= 0, "the status line scrolled away");
      await shot(page, `${name}-7-stale`);
      on.replay.say("heard");
      await page.waitForSelector(".page:not(.old)");
      assert.doesNotMatch(await text(page, "body"), /!|psi|kPa|bar\b/);
      assert.deepEqual(complaints, []);
      await close();
    });
  }
}

test("The operator's word goes to the recorder and comes back", async () => {
  on.replay.seek(76);
  const { page, close } = await open(PHONE);
  await becomes(page, ".next", /^Next: Juno/);
  await page.click(".next");
  await becomes(page, ".head h1", /^Juno/);
  await becomes(page, ".next", /^Next: Tarn/);
  await page.click(".out");
  await becomes(page, ".status", /Out noted/);
  await page.click(".dots");
  await page.click(".to-zero");
  await becomes(page, ".figure", /finding zero/);
  await becomes(page, ".status", /Zero taken/);
  await close();
});

test("A narrow phone shows all of it", async () => {
  on.replay.seek(110);
  const { page, close } = await open(NARROW);
  await becomes(page, ".figure .verdict", /doubtful/);
  await fits(page, "narrow");
  await shot(page, "narrow-1-page");
  for (const tile of ["roster", "order", "note", "limits", "checks"]) {
    await more(page, tile);
    await fits(page, `narrow ${tile}`);
    await escape(page);
  }
  await close();
});

test("Everything can be reached by keyboard", async () => {
  on.replay.seek(110);
  const { page, close } = await open(PHONE);
  await becomes(page, ".bites", /1 200/);
  const reached: string[] = [];
  for (let i = 0; i < 12; ++i) {
    await page.keyboard.press("Tab");
    reached.push(await page.evaluate(() =>
      document.activeElement?.className.split(" ")[0] ?? ""));
  }
  for (const wanted of ["bite", "out", "next", "dots"]) {
    assert.ok(reached.includes(wanted), `${wanted} in ${reached}`);
  }
  await page.focus(".dots");
  await page.keyboard.press("Enter");
  await page.waitForSelector(".sheet");
  await escape(page);
  assert.equal(await page.evaluate(() => document.activeElement?.className), "dots");
  // Back to where one was from a sheet behind a sheet too.
  await page.keyboard.press("Enter");
  await page.waitForSelector(".tiles");
  await page.focus(".tile.to-order");
  await page.keyboard.press("Enter");
  await page.waitForSelector(".order");
  await escape(page);
  assert.equal(await page.evaluate(() => document.activeElement?.className), "dots");
  await close();
});

test("A new bite is told to a screen reader, an old one is not", async () => {
  on.replay.seek(76);
  const { page, close } = await open(PHONE);
  await becomes(page, ".bites", /Juno/);
  assert.equal(await text(page, "p[aria-live]"), "");
  on.replay.seek(84.5);
  await becomes(page, "p[aria-live]", /^Brisk: 743 plus or minus 6 newtons, sound/);
  await close();
});

test("Silence is said, and a lost connection mends itself", async () => {
  on.replay.seek(84.5);
  const { page, close } = await open(PHONE);
  await becomes(page, ".figure .large", /743/);
  on.replay.say("mute");
  await becomes(page, ".status", /The recorder is silent since/);
  const { host } = new URL(on.replay.url);
  await on.replay.stop();
  await becomes(page, ".status", /Not connected to the recorder; trying again since/);
  await becomes(page, ".figure .large", /743/); // what was seen stays
  await shot(page, "phone-day-8-lost");
  on.replay = await Replay.start(host);
  on.replay.seek(76);
  await becomes(page, ".figure", /ready/, 15000);
  await close();
});

test("Reduced motion still shows every figure", async () => {
  on.replay.seek(76);
  const { page, close } = await open(PHONE);
  await page.emulateMedia({ reducedMotion: "reduce" });
  on.replay.seek(84.5);
  await becomes(page, ".figure .large", /743 ± 6 N/);
  await close();
});
