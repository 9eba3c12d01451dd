// Shared pages in a real browser: the built program with --share, opened by
// its links and by hand. Needs MASSETER_REPLAY=<build>/masseter_replay, beside
// which the program stands; screenshots go to MASSETER_SHOTS.
import assert from "node:assert/strict";
import { spawn, type ChildProcess } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { after, before, test } from "node:test";
import type { Browser, Page } from "playwright-core";
import { accessible } from "./page.ts";
import { browse } from "./replay.ts";

const build = dirname(process.env["MASSETER_REPLAY"] ?? ".");
const program = join(build, "masseter");
const shots = process.env["MASSETER_SHOTS"] ?? join(build, "screenshots");
const PHONE = { width: 390, height: 844 };

interface Shared {
  child: ChildProcess;
  url: string;
  operate: string;
  lookOn: string;
}

let folder: string;
let shared: Shared;
let browser: Browser;
let books = 0;

/** The demonstration, shared; its address and codes as its terminal shows them. */
function share(port = "0"): Promise<Shared> {
  books += 1;
  const child = spawn(program, ["demo", "--share", "--listen", `127.0.0.1:${port}`,
    "--book", join(folder, `${books}.book`)], { stdio: ["ignore", "pipe", "inherit"] });
  return new Promise((found, fail) => {
    let said = "";
    child.once("exit", (code) => fail(new Error(`the demo ended with ${code}: ${said}`)));
    child.stdout!.on("data", (data) => {
      said += String(data);
      const url = /Live page: (\S+)/.exec(said)?.[1];
      const codes = /To type: operator (\S+), onlooker (\S+)\n/.exec(said);
      if (url && codes) found({ child, url, operate: codes[1]!, lookOn: codes[2]! });
    });
  });
}

const stop = (child: ChildProcess) => new Promise<void>((done) => {
  child.removeAllListeners("exit");
  child.once("exit", () => done());
  child.kill("SIGKILL");
});

before(async () => {
  mkdirSync(shots, { recursive: true });
  folder = mkdtempSync(join(tmpdir(), "masseter-door-"));
  [browser, shared] = await Promise.all([browse(), share()]);
});
after(async () => {
  await browser?.close();
  if (shared) await stop(shared.child);
  rmSync(folder, { recursive: true, force: true });
});

/** A browser of its own, with every address that it asked for. */
async function visitor(options: { script?: boolean; night?: boolean } = {}) {
  const context = await browser.newContext({
    viewport: PHONE, deviceScaleFactor: 2, javaScriptEnabled: options.script ?? true,
    colorScheme: options.night ? "dark" : "light",
  });
  const page = await context.newPage();
  const asked: string[] = [];
  const complaints: string[] = [];
  page.on("request", (request) => asked.push(request.url()));
  page.on("pageerror", (e) => complaints.push(String(e)));
  page.on("console", (m) => {
    // The door's own answers to a wrong code are no fault of the page.
    if (m.type() === "error" && !/status of 4(03|29)/.test(m.text())) {
      complaints.push(m.text());
    }
  });
  return { page, asked, complaints, close: () => context.close() };
}

const bare = (code: string) => code.replace("-", "");
const shot = (page: Page, name: string) =>
  page.screenshot({ path: join(shots, `door-${name}.png`) });

test("A link with the onlooker's code opens the page without the operator's row", async () => {
  const { page, asked, complaints, close } = await visitor();
  await page.goto(`${shared.url}#${bare(shared.lookOn)}`);
  await page.waitForSelector(".head h1:not(.nobody)", { timeout: 15000 });
  assert.equal(await page.locator(".operator").count(), 0);
  assert.equal(page.url(), shared.url);
  await shot(page, "onlooker");
  // The code was in no address that anybody was asked for, and is in none now.
  for (const url of asked) assert.ok(!url.split("#")[0]!.includes(bare(shared.lookOn)), url);
  // Script cannot read the session.
  assert.equal(await page.evaluate(() => document.cookie), "");
  // The operator's link, opened over it, makes an operator of the same visitor.
  await page.goto(`${shared.url}#${bare(shared.operate)}`);
  await page.waitForSelector(".operator");
  assert.equal(page.url(), shared.url);
  assert.deepEqual(complaints, []);
  await close();
});

test("By hand: a wrong code is told, the right one opens", async () => {
  const { page, complaints, close } = await visitor();
  await page.goto(shared.url);
  await page.waitForSelector("#code");
  assert.equal(await page.locator(".head, .figure, .bite").count(), 0);
  await shot(page, "phone");
  await page.fill("#code", "K7QF3-M2XPD");
  await page.click("button");
  await page.waitForSelector(".said:not(:empty)");
  assert.match((await page.textContent(".said"))!, /This code opens nothing here/);
  assert.ok(!(await page.content()).includes("K7QF3"));
  await shot(page, "wrong");
  await accessible(page, "the door with a wrong code");
  const box = await page.locator("button").boundingBox();
  assert.ok(box && box.height >= 56, "a target under 56 px");
  assert.ok(await page.evaluate(() =>
    document.documentElement.scrollWidth <= document.documentElement.clientWidth));
  await page.fill("#code", ` ${shared.operate.toLowerCase()} `);
  await page.keyboard.press("Enter");
  await page.waitForSelector(".operator");
  assert.deepEqual(complaints, []);
  await close();
});

test("The door works without script", async () => {
  const { page, close } = await visitor({ script: false, night: true });
  await page.goto(shared.url);
  await shot(page, "night");
  await page.fill("#code", bare(shared.lookOn));
  await page.click("button");
  await page.waitForSelector("#page", { state: "attached" });
  assert.match((await page.textContent("noscript"))!, /needs its script/);
  await close();
});

test("The view that was asked for is there behind the door", async () => {
  const { page, close } = await visitor();
  await page.goto(`${shared.url}#wall`);
  await page.fill("#code", shared.lookOn);
  await page.click("button");
  await page.waitForSelector("#page > *");
  assert.equal(page.url(), `${shared.url}#wall`);
  await close();
});

test("A page of another site can neither listen nor enter nor load", async () => {
  // Another port of this host: the browser sends the cookie along even so.
  const other = createServer((_, answer) => {
    answer.setHeader("content-type", "text/html");
    answer.end("<!doctype html><link rel=icon href='data:,'><title>other</title>");
  });
  await new Promise<void>((up) => other.listen(0, "127.0.0.1", up));
  const { page, close } = await visitor();
  await page.goto(`${shared.url}#${bare(shared.operate)}`);
  await page.waitForSelector(".operator");
  const script = await page.getAttribute("script[src]", "src");
  await page.goto(`http://127.0.0.1:${(other.address() as AddressInfo).port}/`);
  // As they came over the wire: the browser itself shows such a page nothing.
  const statuses: number[] = [];
  const wire = await page.context().newCDPSession(page);
  await wire.send("Network.enable");
  wire.on("Network.responseReceivedExtraInfo", (r) => statuses.push(r.statusCode));
  const heard = await page.evaluate(([host, file, code]) => new Promise<string>((done) => {
    const ask = (path: string, more: RequestInit) =>
      fetch(`http://${host}${path}`, { mode: "no-cors", cache: "no-store", credentials: "include", ...more })
        .catch(() => null);
    const socket = new WebSocket(`ws://${host}/live`);
    socket.onopen = () => done("opened");
    socket.onerror = async () => {
      await ask(file!, {});
      await ask("/enter", { method: "POST", body: new URLSearchParams({ code: code! }) });
      done("refused");
    };
  }), [new URL(shared.url).host, script, bare(shared.operate)] as const);
  assert.equal(heard, "refused");
  for (let i = 0; i < 100 && statuses.length < 2; ++i) await page.waitForTimeout(50);
  assert.ok(statuses.length >= 2, `answers: ${statuses}`);
  assert.deepEqual(statuses.filter((status) => status !== 403), []);
  await close();
  await new Promise((down) => other.close(down));
});

test("After a new start the page goes back to the door", async () => {
  const { page, close } = await visitor();
  await page.goto(`${shared.url}#${bare(shared.operate)}`);
  await page.waitForSelector(".operator");
  await stop(shared.child);
  shared = await share(new URL(shared.url).port);
  await page.waitForSelector("#code", { timeout: 15000 });
  await close();
});
