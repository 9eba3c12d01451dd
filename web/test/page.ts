// What the browser tests of the live page share: a page opened on a replayed
// day, waiting for what it shows, its layout and accessibility.
import assert from "node:assert/strict";
import { mkdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import type { Browser, Page } from "playwright-core";
import type { AxeResults } from "axe-core";

const shots = process.env["MASSETER_SHOTS"] ??
  join(dirname(process.env["MASSETER_REPLAY"] ?? "."), "screenshots");
mkdirSync(shots, { recursive: true });

export interface Size { width: number; height: number }
export const PHONE: Size = { width: 390, height: 844 };
export const NARROW: Size = { width: 320, height: 640 };
export const LAPTOP: Size = { width: 1366, height: 768 };
export const SCREEN: Size = { width: 1920, height: 1080 };

export interface Opened {
  page: Page;
  complaints: string[];
  close: () => Promise<void>;
}

export interface Wishes {
  night?: boolean;
  onlooker?: boolean;
  /** Sent to the page as it joins, in place of the server's own links. */
  says?: object[];
  hash?: string;
  /** Pixels of the screen for one of the page. */
  scale?: number;
}

/** Lets the page see another role or more messages than the replay sends. */
async function between(page: Page, wishes: Wishes): Promise<void> {
  if (!wishes.onlooker && !wishes.says) return;
  await page.routeWebSocket(/live/, (ws) => {
    const server = ws.connectToServer();
    let joined = false;
    server.onMessage((message) => {
      const text = String(message);
      const replaced = wishes.says !== undefined && /"type":\s*"share"/.test(text);
      if (!replaced) {
        ws.send(wishes.onlooker ? text.replace('"operator"', '"onlooker"') : text);
      }
      if (!joined) {
        for (const said of wishes.says ?? []) ws.send(JSON.stringify(said));
      }
      joined = true;
    });
  });
}

export async function open(
  browser: Browser, url: string, viewport: Size, wishes: Wishes = {},
): Promise<Opened> {
  const context = await browser.newContext({
    viewport, colorScheme: wishes.night ? "dark" : "light", deviceScaleFactor: wishes.scale ?? 1,
    reducedMotion: "no-preference",
  });
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on("console", (m) => {
    if (m.type() === "error" || m.type() === "warning") complaints.push(m.text());
  });
  page.on("pageerror", (e) => complaints.push(String(e)));
  await between(page, wishes);
  await page.goto(url + (wishes.hash ?? ""));
  await page.waitForSelector("h1");
  return { page, complaints, close: () => context.close() };
}

export const text = async (page: Page, selector: string): Promise<string> =>
  ((await page.textContent(selector)) ?? "").replace(/\s+/g, " ").trim();

export async function becomes(
  page: Page, selector: string, expected: RegExp, within_ms = 8000,
): Promise<void> {
  const until = Date.now() + within_ms;
  let got = "";
  while (Date.now() < until) {
    got = (await page.locator(selector).allTextContents()).join(" | ")
      .replace(/\s+/g, " ");
    if (expected.test(got)) return;
    await page.waitForTimeout(40);
  }
  assert.match(got, expected, selector);
}

export const shot = (page: Page, name: string) =>
  page.screenshot({ path: join(shots, `${name}.png`) });

/** Nothing is cut off, every target is wide and high enough for a glove. */
export async function fits(page: Page, where: string): Promise<void> {
  const problems = await page.evaluate(() => {
    const found: string[] = [];
    const width = document.documentElement.clientWidth;
    if (document.documentElement.scrollWidth > width) found.push("scrolls sideways");
    const sheet = document.querySelector("dialog[open]");
    if (sheet && sheet.scrollWidth > sheet.clientWidth) {
      found.push("the sheet scrolls sideways");
    }
    const scope = sheet ?? document;
    for (const element of scope.querySelectorAll(
      ".head *, .figure *, .operator button, .bite > *, .inside *")) {
      const box = element.getBoundingClientRect();
      const edge = element.closest(".figure") ? 15 : 0; // the page's margin
      if (box.width > 1 && (box.right > width - edge + 0.5 || box.left < -0.5) &&
        !element.closest(".hidden")) {
        found.push(`${element.tagName}.${element.getAttribute("class")} leaves the screen`);
      }
    }
    for (const target of scope.querySelectorAll(
      "button, select, textarea, input:not([type=radio]):not([hidden]), a")) {
      const box = target.getBoundingClientRect();
      if (box.height > 0 && (box.height < 55.5 || box.width < 55.5) &&
        !target.closest(".back")) {
        found.push(`a target under 56 px: ${target.outerHTML.slice(0, 80)}`);
      }
    }
    const figure = document.querySelector(".figure")?.getBoundingClientRect();
    const row = document.querySelector(".operator")?.getBoundingClientRect();
    if (row && figure && (figure.bottom > row.top || row.bottom > innerHeight + 0.5)) {
      found.push("the operator's row is not in its place");
    }
    return found;
  });
  assert.deepEqual(problems, [], where);
}

const axe = readFileSync(
  createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

/** No violation that axe-core calls serious or critical; of an open sheet, that
 * alone is looked at. */
export async function accessible(page: Page, where: string): Promise<void> {
  if (!(await page.evaluate(() => "axe" in window))) await page.evaluate(axe);
  const { violations } = await page.evaluate(() => (window as unknown as {
    axe: { run(where: Element): Promise<AxeResults> };
  }).axe.run(document.querySelector("dialog[open]") ?? document.documentElement));
  const grave = violations
    .filter((v) => v.impact === "serious" || v.impact === "critical")
    .map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 120) + " " +
      (n.any[0]?.message ?? "")).join("; ")}`);
  assert.deepEqual(grave, [], where);
}

export async function escape(page: Page): Promise<void> {
  await page.keyboard.press("Escape");
  await page.waitForSelector("dialog", { state: "detached" });
}

/** Opens one of the operator's sheets. */
export async function more(page: Page, tile: string): Promise<void> {
  await page.click(".dots");
  await page.click(`.tile.to-${tile}`);
  await page.waitForSelector(".tiles", { state: "detached" });
  await page.waitForSelector("dialog[open]");
}
