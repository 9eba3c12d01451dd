import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { decode } from "../src/decode.ts";
import { bandText, deskAction } from "../src/Bench.tsx";
import type { Bench, BiteMessage, Day, Hello, Message, Now } from "../src/messages.ts";
import { dogDays, nextDog } from "../src/day.ts";
import {
  closed, initialState, opened, recentBite, reduce, seen, staleness, type State,
} from "../src/state.ts";

const example = <T extends Message>(name: string): T => {
  const file = join(process.cwd(), "..", "api", `${name}.json`);
  return decode(readFileSync(file, "utf8")) as T;
};
const hello = example<Hello>("hello");
const now = example<Now>("now");
const bite = example<BiteMessage>("bite");
const bench = example<Bench>("bench");

const run = (messages: Message[], from = opened(initialState(), 1000)): State =>
  messages.reduce((state, message) => reduce(state, message, 2000), from);

const withId = (id: number, change: Partial<BiteMessage["bite"]> = {}) =>
  ({ ...bite, bite: { ...bite.bite, id, ...change } });

test("Bites stand newest first and a new measurement replaces the old", () => {
  const state = run([withId(1), withId(3), withId(2), withId(3, { peak_n: 700 })]);
  assert.deepEqual(state.bites.map((b) => b.bite.id), [3, 2, 1]);
  assert.equal(state.bites[0]?.bite.peak_n, 700);
});

test("Only a bite that ends after joining is news", () => {
  const before = run([hello, now, withId(1, { end_s: 40 })]);
  assert.equal(before.news, "");
  const after = run([withId(2, { end_s: 90 })], before);
  assert.equal(after.news, "Brisk: 743 plus or minus 6 newtons, sound.");
  const again = run([withId(2, { end_s: 90, peak_n: 1 })], after);
  assert.equal(again.news, after.news);
});

test("A measured bite stays the large figure for twenty seconds", () => {
  const at = (t_s: number): Now => ({ ...now, t_s, bite: null });
  assert.equal(recentBite(seen(run([bite, at(102)]), 0))?.bite.id, 3);
  assert.equal(recentBite(seen(run([bite, at(103)]), 0)), null);
});

test("What is shown goes stale when the recorder falls silent", () => {
  const state = run([hello, now]);
  assert.equal(staleness(state, 3000), null);
  assert.deepEqual(staleness(state, 4000),
    { since_ms: 2000, why: "The recorder is silent" });
});

test("A silent sleeve is stale since the first silent moment", () => {
  let state = run([hello, now]);
  state = reduce(state, { ...now, state: "stale" }, 5000);
  state = reduce(state, { ...now, state: "stale" }, 6000);
  assert.equal(staleness(state, 6100)?.since_ms, 5000);
  state = reduce(state, now, 7000);
  assert.equal(staleness(state, 7100), null);
});

test("A lost connection is said, and what comes after it begins anew", () => {
  let state = closed(closed(run([hello, now, bite]), 5000), 9000);
  assert.equal(staleness(state, 9500)?.since_ms, 5000);
  assert.equal(state.bites.length, 1);
  state = opened(state, 10000);
  assert.equal(state.bites.length, 0);
  assert.equal(state.notice?.text, "Connected again.");
  assert.equal(staleness(reduce(state, now, 10001), 10002), null);
});

test("An action waits until its answer", () => {
  const sent = { ...run([hello, now]), waiting: ["up", "out"] };
  const done = reduce(sent, { type: "done", of: "up" }, 3000);
  assert.deepEqual(done.waiting, ["out"]);
  const refused = reduce(done,
    { type: "refused", of: "out", text: "no bite is going on" }, 3000);
  assert.deepEqual(refused.waiting, []);
  assert.equal(refused.notice?.text, "Not done: no bite is going on.");
  assert.equal(refused.notice?.level, "warn");
});

test("An answer that never came is not taken for a yes", () => {
  const sent = { ...run([hello, now]), waiting: ["out"] };
  assert.match(closed(sent, 3000).notice?.text ?? "", /check what was done/);
});

test("The next dog follows the running order round", () => {
  const next = (roster: Hello["roster"], up: string, order?: string[]) => {
    const day = { ...example<Day>("day"), order: order ?? [] };
    return nextDog(seen(run([{ ...hello, roster }, { ...now, up }, day]), 0));
  };
  assert.equal(next(hello.roster, "Brisk"), "Juno");
  assert.equal(next(hello.roster, "Juno"), "Brisk");
  assert.equal(next([], "Brisk"), "");
  assert.equal(next(hello.roster.slice(0, 1), "Brisk"), "");
  const three = [...hello.roster, { dog: "Fenn", breed: "", mass_kg: null }];
  assert.equal(next(three, "Brisk", ["Brisk", "Fenn", "Juno"]), "Fenn");
  // A dog that the order does not name comes last.
  assert.equal(next(three, "Juno", ["Brisk", "Juno"]), "Fenn");
});

test("A dog's highest leaves void bites out", () => {
  const days = dogDays(run([
    hello, withId(1), withId(2, { peak_n: 999, verdict: "void" }),
    withId(3, { dog: "Fenn", peak_n: null, verdict: "void" }),
  ]));
  assert.deepEqual(days.map((d) => [d.dog, d.bites, d.best?.bite.id ?? null]), [
    ["Brisk", 2, 1], ["Juno", 0, null], ["Fenn", 1, null],
  ]);
});

test("A bench is old when its sleeve or the recorder falls silent", () => {
  const state = run([bench]);
  assert.equal(staleness(state, 3000), null);
  assert.equal(staleness(state, 4000)?.why, "The recorder is silent");
  const silent = run([{ ...bench, silent_s: 4 }]);
  assert.deepEqual(staleness(silent, 2100),
    { since_ms: -2000, why: "No data from the sleeve" });
  assert.equal(closed(state, 5000).bench, state.bench);
  assert.equal(opened(state, 6000).bench, null);
});

test("The bench says in words what its colour repeats", () => {
  const at = (change: Partial<Bench>) => bandText({ ...bench, ...change });
  assert.equal(at({}), "Hands off. Settling, 1 s");
  assert.equal(at({ state: "asking" }), "Reading 2 recorded. Next:");
  // A struck reading is not what was recorded last.
  const struck = bench.readings.map((r) => ({ ...r, struck: "it leaned" }));
  assert.equal(at({ state: "asking", readings: struck }), "Put on:");
  assert.equal(at({ state: "impatient", waited_s: 61 }), "Does not settle, 61 s");
  assert.equal(at({ state: "done" }), "The plan is done");
  assert.deepEqual(deskAction("ok", { step: 2 }),
    { type: "desk", word: "ok", number: null, reason: "", step: 2 });
});
