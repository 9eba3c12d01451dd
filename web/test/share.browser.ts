// Shared pages of the program itself: the operator's share sheet leads others
// in, each to its role. Uses masseter, which stands beside MASSETER_REPLAY.
import assert from "node:assert/strict";
import { spawn, type ChildProcess } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser } from "playwright-core";
import { cameraReads } from "./camera.ts";
import {
  accessible, becomes, fits, LAPTOP, more, open, PHONE, shot, text,
} from "./page.ts";
import { browse } from "./replay.ts";

const program = join(dirname(process.env["MASSETER_REPLAY"] ?? "."), "masseter");
const folder = mkdtempSync(join(tmpdir(), "masseter-share-"));

let browser: Browser;
let demo: ChildProcess;
let url: string;
let operate: string;

before(async () => {
  browser = await browse();
  demo = spawn(program, ["demo", "--share", "--listen", "127.0.0.1:0",
    "--book", join(folder, "day.book")], { stdio: ["ignore", "pipe", "inherit"] });
  let said = "";
  await new Promise<void>((ready, fail) => {
    demo.once("exit", () => fail(new Error(`the demonstration ended: ${said}`)));
    demo.stdout!.on("data", (data) => {
      said += String(data);
      url = /Live page: (\S+)/.exec(said)?.[1] ?? "";
      operate = /To type: operator (\S+),/.exec(said)?.[1] ?? "";
      if (url && operate) ready();
    });
  });
});
after(async () => {
  demo.removeAllListeners("exit");
  demo.kill("SIGKILL");
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
});

test("The door has no barriers", async () => {
  const { page, close } = await open(browser, url, PHONE);
  await page.waitForSelector("#code");
  await accessible(page, "door");
  await close();
});

test("What a camera reads on the operator's page lets an onlooker in", async () => {
  const own = await open(browser, `${url}#${operate.replace("-", "")}`, PHONE);
  await own.page.waitForSelector(".operator");
  await more(own.page, "share");
  await becomes(own.page, ".sheet .links", /To look on.*To operate/);
  await fits(own.page, "share");
  await accessible(own.page, "share");
  await shot(own.page, "share-1-phone");
  const links = await own.page.locator(".url").allTextContents();
  const link = await cameraReads(browser, own.page.locator(".qr >> nth=0"));
  assert.equal(link, links[0]);
  assert.equal(await cameraReads(browser, own.page.locator(".qr >> nth=1")), links[1]);
  await own.close();

  const context = await browser.newContext({ viewport: LAPTOP });
  const page = await context.newPage();
  const heard: string[] = [];
  page.on("websocket", (socket) =>
    socket.on("framereceived", (frame) => heard.push(String(frame.payload))));
  await page.goto(link!);
  await becomes(page, ".dogs", /Brisk/, 15000);
  await page.waitForSelector(".figure .large, .figure .word");
  await accessible(page, "an onlooker let in");
  const controls = "form, input, textarea, select, .operator, .head button";
  assert.equal(await page.locator(controls).count(), 0);
  assert.ok(heard.some((message) => message.includes('"onlooker"')));
  assert.ok(!heard.some((message) => /"type":\s*"share"/.test(message)));
  for (const other of links) assert.ok(!(await text(page, "body")).includes(other));
  await context.close();
});
