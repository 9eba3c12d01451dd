// The operator's day in a real browser: who is up, the running order, notes,
// limits, bites struck out, checks, links. Needs MASSETER_REPLAY.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeEach, test } from "node:test";
import type { Page } from "playwright-core";
import type { Share } from "../src/messages.ts";
import {
  accessible, becomes, escape, fits, more, open as openOn, PHONE, shot, text,
  type Size, type Wishes,
} from "./page.ts";
import { cameraReads } from "./camera.ts";
import { stage } from "./replay.ts";

const on = stage();
beforeEach(() => on.replay.seek(90));

const open = (wishes: Wishes = {}) => openOn(on.browser, on.replay.url, PHONE, wishes);

test("A dog is found as one types and added with one key", async () => {
  const { page, complaints, close } = await open();
  await page.click(".head h1 button");
  await becomes(page, ".roster", /Brisk.*up now.*Juno.*Tarn.*Moss/);
  await page.fill('input[name="dog"]', "shepherd");
  await becomes(page, ".roster", /^(?!.*Brisk).*Tarn.*Moss/);
  await page.fill('input[name="dog"]', "JUN");
  await page.keyboard.press("Enter");
  await becomes(page, ".head h1", /^Juno/);

  await page.click(".head h1 button");
  await page.fill('input[name="dog"]', "Fenn");
  await becomes(page, ".add", /^Add Fenn and send it up$/);
  await page.fill('input[name="mass"]', "heavy");
  await page.click(".add");
  await becomes(page, ".wrong", /The mass in kilograms/);
  await page.fill('input[name="mass"]', "26,5");
  await shot(page, "operator-1-add");
  await page.focus('input[name="dog"]');
  await page.keyboard.press("Enter");
  await becomes(page, ".head h1", /^Fenn/);
  await page.waitForSelector("dialog", { state: "detached" });
  await page.click(".head h1 button");
  await becomes(page, ".roster", /Fenn 26\.5 kg/);
  assert.deepEqual(complaints, []);
  await close();
});

test("The running order decides who is next", async () => {
  const { page, close } = await open();
  await becomes(page, ".next", /Next: Juno/);
  await more(page, "order");
  await becomes(page, ".order", /1Brisk.*2Juno.*3Tarn.*4Moss/);
  await page.focus('[aria-label="Moss earlier"]');
  await page.keyboard.press("Enter");
  await becomes(page, ".order", /2Juno.*3Moss.*4Tarn/);
  // The key stays on the dog that moves.
  await page.keyboard.press("Enter");
  await becomes(page, ".order", /1Brisk.*2Moss.*3Juno/);
  await shot(page, "operator-2-order");
  await escape(page);
  await becomes(page, ".next", /Next: Moss\s*rested 0:5\d/);

  await page.click(".dots");
  await becomes(page, ".undo", /Take back the new running order/);
  await page.click(".undo");
  await becomes(page, ".sheet .said-here", /Taken back/);
  await page.click(".undo");
  await becomes(page, ".undo", /nothing to take back/);
  await escape(page);
  await becomes(page, ".next", /Next: Juno/);
  await close();
});

/** Sixteen more dogs, as if other hands had added them. */
const addDogs = (page: Page, count: number) => page.evaluate((count) =>
  new Promise<void>((resolve, reject) => {
    const socket = new WebSocket(`ws://${location.host}/live`);
    socket.onerror = () => reject(new Error("no connection"));
    socket.onopen = () => {
      for (let i = 1; i <= count; ++i) {
        socket.send(JSON.stringify({ type: "dog", dog: `Dog ${i}`, breed: "", mass_kg: null }));
      }
    };
    let done = 0;
    socket.onmessage = ({ data }) => {
      if (!/"type":"done"/.test(String(data)) || ++done < count) return;
      socket.close();
      resolve();
    };
  }), count);

const dogButton = (dog: string) => `[data-order="dog ${dog}"]`;

for (const [device, size] of [
  ["phone", PHONE], ["laptop", { width: 1280, height: 800 }],
] as [string, Size][]) {
  test(`Of twenty dogs one is put anywhere with two presses, ${device}`, async () => {
    const { page, complaints, close } = await openOn(on.browser, on.replay.url, size);
    await becomes(page, ".next", /Next: Juno/);
    await addDogs(page, 16);
    await more(page, "order");
    await becomes(page, ".order", /1Brisk.*2Juno.*20Dog 16/);
    await becomes(page, ".putting", /^Press a dog, then where it goes\.$/);
    await fits(page, `order, ${device}`);
    await accessible(page, `order, ${device}`);
    await shot(page, `order-1-${device}`);

    await page.click(dogButton("Dog 16"));
    await becomes(page, ".putting", /^Where does Dog 16 go\?/);
    await becomes(page, ".order", /1before Brisk.*19before Dog 15.*20Dog 16$/);
    assert.ok(await page.locator(dogButton("Dog 16")).evaluate((button) => {
      const { x, bottom } = button.getBoundingClientRect();
      return button.contains(document.elementFromPoint(x + 20, bottom - 4));
    }), "the dog itself stays in view");
    await fits(page, `where it goes, ${device}`);
    await accessible(page, `where it goes, ${device}`);
    await shot(page, `order-2-${device}`);
    await page.evaluate(() => document.querySelector("dialog")!.scrollTo(0, 300));
    const top = () => page.locator(dogButton("Dog 6")).evaluate((row) =>
      Math.round(row.getBoundingClientRect().top));
    const pressed = await top();
    await page.click(dogButton("Dog 6"));
    await becomes(page, ".order", /9Dog 5.*10Dog 16.*11Dog 6/);
    assert.equal(await top(), pressed + 69, "the list stays where it was pressed");
    await page.click(dogButton("Dog 16"));
    await page.click(dogButton("Tarn"));
    await becomes(page, ".order", /2Juno.*3Dog 16.*4Tarn.*20Dog 15/);
    await becomes(page, ".putting", /^Dog 16 is 3 of 20, after Juno\.$/);
    await shot(page, `order-3-${device}`);

    await page.click(dogButton("Tarn"));
    await page.click(".puts button >> nth=0");
    await becomes(page, ".order", /1Brisk.*2Tarn.*3Juno.*4Dog 16/);
    await page.click(dogButton("Brisk"));
    assert.ok(await page.isDisabled(".puts button >> nth=0"), "it is up");
    await page.click(".puts button >> nth=1");
    await becomes(page, ".putting", /^Brisk is 20 of 20, after Dog 15\.$/);
    assert.deepEqual(complaints, []);
    await close();
  });
}

test("A key puts a dog in its place, and Escape leaves it there", async () => {
  const { page, close } = await open();
  await more(page, "order");
  const focused = () => page.evaluate(() =>
    document.activeElement?.getAttribute("data-order"));
  await page.focus(dogButton("Moss"));
  await page.keyboard.press("Enter");
  await becomes(page, '[aria-pressed="true"]', /^Moss$/);
  // From place to place there is nothing else in between.
  await page.keyboard.press("Shift+Tab");
  await page.keyboard.press("Shift+Tab");
  assert.equal(await focused(), "dog Juno");
  await page.keyboard.press("Enter");
  await becomes(page, ".putting", /^Moss is 2 of 4, after Brisk\.$/);
  assert.equal(await focused(), "dog Moss");
  await page.keyboard.press("Enter");
  await becomes(page, ".putting", /^Where does Moss go/);
  await page.keyboard.press("Escape");
  await becomes(page, ".putting", /^Moss is 2 of 4/);
  assert.equal(await focused(), "dog Moss");
  await escape(page);
  await becomes(page, ".next", /Next: Moss/);
  await page.click(".dots");
  await becomes(page, ".undo", /Take back the new running order/);
  await page.click(".undo");
  await escape(page);
  await becomes(page, ".next", /Next: Juno/);
  await close();
});

test("A bite is struck out with a reason and restored", async () => {
  const { page, close } = await open();
  await page.click('.bite[data-bite="5"]');
  await page.click(".strike-out");
  assert.ok(await page.isDisabled(".why .wide"));
  await page.fill('input[name="reason"]', "  no");
  assert.ok(await page.isDisabled(".why .wide"), "two letters are no reason");
  await page.fill('input[name="reason"]', "a knee pressed it");
  await page.click(".why .wide");
  await becomes(page, ".sheet .judged", /voidThe operator struck this bite out/);
  await becomes(page, ".sheet .reasons", /struck out.*a knee pressed it/);
  await becomes(page, ".sheet .peak", /no figure/);
  await shot(page, "operator-3-struck");
  await page.click(".restore");
  await becomes(page, ".sheet .judged", /^sound/);
  await becomes(page, ".sheet .peak", /743 ± 6 N/);
  await close();
});

test("Notes stand on the moment and on a bite", async () => {
  const { page, close } = await open();
  await more(page, "note");
  await page.click(".chips button >> nth=0");
  await page.click(".note .wide");
  await becomes(page, ".notes", /14:06Brisk: slipped/);
  await page.check('input[name="on"] >> nth=1');
  await page.fill('textarea[name="text"]', "let go before the word");
  await page.click(".note .wide");
  await becomes(page, ".notes", /bite 5: let go before the word.*slipped/);
  await shot(page, "operator-4-note");
  await escape(page);
  await becomes(page, '.bite[data-bite="5"]', /squeeze 681 · noted/);
  await page.click('.bite[data-bite="5"]');
  await becomes(page, ".sheet .notes", /let go before the word/);
  await close();
});

test("No limit stands until it is set; a reached one is shown", async () => {
  const { page, close } = await open();
  await more(page, "limits");
  assert.equal(await page.inputValue('input[name="bites"]'), "");
  assert.equal(await page.inputValue('input[name="minutes"]'), "");
  await becomes(page, ".lead", /The trainer's and the veterinarian's word/);
  await page.selectOption("select", "Juno");
  await page.click('[aria-label="Bites today: one more"]');
  await page.click('[aria-label="Bites today: one more"]');
  await page.click(".limits .wide");
  await becomes(page, ".sheet .plain", /Juno 2 bites/);
  await page.selectOption("select", "Brisk");
  await page.fill('input[name="bites"]', "2.5");
  await page.click(".limits .wide");
  await becomes(page, ".wrong", /A whole number/);
  await page.fill('input[name="bites"]', "2");
  await page.click(".limits .wide");
  await becomes(page, ".sheet .plain", /Brisk 2 bites/);
  await shot(page, "operator-5-limits");
  await escape(page);
  await becomes(page, ".head .count", /^2 of 2 bites$/);
  await becomes(page, ".dogs", /Brisklimit of 2 bites reached2 of 2.*Juno.*1 of 2/);
  assert.ok(await page.isEnabled(".next"), "nothing is blocked");
  // Juno's second bite is the limit: the recorder says so.
  on.replay.seek(110);
  await becomes(page, ".status", /Juno has had 2 bites, the limit set for today/);
  await close();
});

test("The checks are gone through, with a load that does not agree", async () => {
  const { page, close } = await open();
  await more(page, "checks");
  await page.click(".stage-before");
  await becomes(page, ".cautions", /veterinarian.*helper.*lithium/);
  assert.equal(await page.locator(".checks").count(), 0);
  await page.click(".cautions .wide");
  await becomes(page, ".checks", /Link ok.*Supply look at it.*Check load to do/);
  await becomes(page, ".checks", /Zero ok.*Noise ok/);
  await page.fill('input[name="load"]', "-3");
  await page.click(".load button");
  await becomes(page, ".wrong", /in kilograms/);
  await page.fill('input[name="load"]', "90");
  await page.click(".load button");
  await becomes(page, ".load-read", /Does not agree\. 90\.0 kg pull 882\.9 N/);
  assert.ok(await page.isDisabled(".pass .wide"));
  await shot(page, "operator-6-checks");
  await page.fill('input[name="load"]', "20");
  await page.click(".load button");
  await becomes(page, ".load-read", /Agrees\. 20\.0 kg pull 196\.2 N; the sleeve read 196\.4 ± 2\.0 N/);
  // Cautions are shown once a stage.
  await escape(page);
  await more(page, "checks");
  await page.waitForSelector(".checks");
  await page.click(".pass .wide");
  await becomes(page, ".sheet .lead", /closed at 14:06:3\d/);
  await close();
});

test("A camera reads the shared address, at night too", async () => {
  const share = JSON.parse(readFileSync(
    join(process.cwd(), "..", "api", "share.json"), "utf8")) as Share;
  const { page, close } = await open({ night: true, says: [share] });
  await more(page, "share");
  await becomes(page, ".sheet .links", /To look on sees everything, changes nothing/);
  const url = share.links[0]!.url;
  assert.equal(await text(page, ".url"), url);
  assert.equal(await cameraReads(on.browser, page.locator(".qr")), url);
  await shot(page, "operator-7-share");
  await close();
});

test("Where nothing is shared the page says so", async () => {
  const { page, close } = await open();
  await more(page, "share");
  await becomes(page, ".sheet .lead", /not shared/);
  await close();
});
