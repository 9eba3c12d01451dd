// What the page makes of a field day by itself: order, rest, limits, entries.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import {
  before, countShort, countText, duration, everyUp, inOrder, limitText, moved, nextDog,
  placeNext, restOf,
} from "../src/day.ts";
import { decode } from "../src/decode.ts";
import { matches, numberOf, sameName } from "../src/entry.ts";
import type {
  BiteMessage, Day, DayDog, Hello, Message, Now,
} from "../src/messages.ts";
import {
  initialState, opened, reduce, seen, staleness, type State,
} from "../src/state.ts";
import { wallSleeves } from "../src/sleeves.ts";

const example = <T extends Message>(name: string): T =>
  decode(readFileSync(join(process.cwd(), "..", "api", `${name}.json`), "utf8")) as T;
const hello = example<Hello>("hello");
const now = example<Now>("now");
const day = example<Day>("day");
const bite = example<BiteMessage>("bite");

const run = (messages: Message[], from = opened(initialState(), 1000)): State =>
  messages.reduce((state, message) => reduce(state, message, 2000), from);

const names = ["a", "b", "c", "d", "e", "f"];
const sleeves = (count: number): Message[] => [
  { ...hello, sleeves: names.slice(0, count).map((name) => ({ name })) },
  ...names.slice(0, count).map((_, sleeve): Now =>
    ({ ...now, sleeve, state: "ready", up: `dog ${sleeve}` })),
];

test("Rest is reckoned by the recorder's clock alone", () => {
  const at = (unix_s: number) => run([hello, { ...now, unix_s }, day]);
  assert.equal(restOf(at(1764080252), "Brisk"), 252);
  assert.equal(restOf(at(1764079999), "Brisk"), 0); // a clock that was set back
  assert.equal(restOf(at(1764080252), "Juno"), null); // has not bitten yet
  assert.equal(restOf(run([hello, day]), "Brisk"), null);
  assert.equal(duration(252), "4:12");
  assert.equal(duration(3599.9), "59:59");
  assert.equal(duration(3840), "1 h 04 min");
});

test("A limit is said when it is reached, and none is assumed", () => {
  const of = (change: Partial<DayDog>) => {
    const dog = { ...day.dogs[0]!, limit_bites: null, limit_minutes: null, ...change };
    const state = run([hello, now, { ...day, dogs: [dog] }]);
    assert.equal(countShort(state, "Brisk"),
      countText(state, "Brisk").replace("6 bites", "6"));
    return [limitText(state, "Brisk"), countText(state, "Brisk")];
  };
  assert.deepEqual(of({ bites: 40 }), ["", "40 bites"]);
  assert.deepEqual(of({ bites: 5, limit_bites: 6 }), ["", "5 of 6 bites"]);
  assert.deepEqual(of({ bites: 6, limit_bites: 6 }),
    ["limit of 6 bites reached", "6 of 6 bites"]);
  assert.deepEqual(of({ bites: 1, up_s: 599, limit_minutes: 10 }), ["", "1 bite"]);
  assert.equal(of({ up_s: 600, limit_minutes: 10 })[0], "limit of 10 min up reached");
});

test("A dog moves one place, never off the list", () => {
  const order = ["a", "b", "c"];
  assert.deepEqual(moved(order, "c", -1), ["a", "c", "b"]);
  assert.deepEqual(moved(order, "a", 1), ["b", "a", "c"]);
  assert.deepEqual(moved(order, "a", -1), order);
  assert.deepEqual(moved(order, "c", 1), order);
  assert.deepEqual(moved(order, "x", 1), order);
});

test("A dog is put before any other, last, or next after the one that is up", () => {
  const order = ["a", "b", "c", "d"];
  assert.deepEqual(before(order, "d", "b"), ["a", "d", "b", "c"]);
  assert.deepEqual(before(order, "a", "d"), ["b", "c", "a", "d"]);
  assert.deepEqual(before(order, "b", ""), ["a", "c", "d", "b"]);
  assert.deepEqual(before(order, "b", "c"), order); // there already
  assert.deepEqual(before(order, "b", "b"), order);
  assert.deepEqual(before(order, "x", "b"), order);
  assert.deepEqual(placeNext(order, "d", "b"), ["a", "b", "d", "c"]);
  assert.deepEqual(placeNext(order, "a", "d"), ["b", "c", "d", "a"]);
  assert.deepEqual(placeNext(order, "c", ""), ["c", "a", "b", "d"]); // nobody up
  assert.deepEqual(placeNext(order, "c", "x"), ["c", "a", "b", "d"]);
});

test("The roster stands in running order", () => {
  const state = run([hello, { ...day, order: ["Juno", "Brisk"] }]);
  assert.deepEqual(inOrder(state).map((d) => d.dog), ["Juno", "Brisk"]);
});

test("Each sleeve has its own moment, trace and bites", () => {
  const state = run([
    ...sleeves(2),
    { ...example("trace"), sleeve: 1 } as Message,
    { ...bite, sleeve: 1, bite: { ...bite.bite, end_s: now.t_s + 1 } },
  ]);
  assert.deepEqual(everyUp(state), ["dog 0", "dog 1"]);
  assert.equal(seen(state, 0).trace.length, 0);
  assert.ok(seen(state, 1).trace.length > 0);
  assert.equal(seen(state, 1).now?.up, "dog 1");
  assert.match(state.news, /743/); // news of the sleeve that it was on
  assert.equal(seen(state, 7).sleeve, 0); // a sleeve that is gone
});

test("A silent sleeve is old, its neighbour is not", () => {
  const state = run([
    ...sleeves(2), { ...now, sleeve: 1, state: "stale" }, now,
  ]);
  assert.equal(staleness(state, 2100, 0), null);
  assert.equal(staleness(state, 2100, 1)?.why, "No data from sleeve 2");
});

test("The next dog is not one that is up on another sleeve", () => {
  const roster = ["Brisk", "Juno", "Fenn"].map((dog) =>
    ({ dog, breed: "", mass_kg: null }));
  const state = run([
    { ...hello, roster, sleeves: [{ name: "a" }, { name: "b" }] },
    { ...now, up: "Brisk" }, { ...now, sleeve: 1, up: "Juno" },
  ]);
  assert.equal(nextDog(seen(state, 0)), "Fenn");
  assert.equal(nextDog(seen(state, 1)), "Fenn");
});

test("Of many sleeves the wall shows the four that bit last", () => {
  const on = (sleeve: number, id: number): BiteMessage =>
    ({ ...bite, sleeve, bite: { ...bite.bite, id } });
  assert.deepEqual(wallSleeves(run(sleeves(3))), [0, 1, 2]);
  const six = run([...sleeves(6), on(0, 1), on(4, 2), on(5, 3), on(1, 4), on(2, 5)]);
  assert.deepEqual(wallSleeves(six), [1, 2, 4, 5]);
  const biting = run([{ ...now, sleeve: 3, state: "bite" }], six);
  assert.deepEqual(wallSleeves(biting), [1, 2, 3, 5]);
});

test("Names are found without case and accents", () => {
  assert.ok(matches("azor", ["Ázor", "Malinois"]));
  assert.ok(matches("mal AZ", ["Ázor", "Malinois"]));
  assert.ok(matches("", ["Ázor"]));
  assert.ok(!matches("brisk", ["Ázor", "Malinois"]));
  assert.ok(sameName(" ázor ", "AZOR"));
  assert.ok(!sameName("Azo", "Azor"));
});

test("A number may have a comma, and nothing is nothing", () => {
  assert.equal(numberOf(" 26,5 "), 26.5);
  assert.equal(numberOf("20"), 20);
  assert.equal(numberOf("  "), null);
  assert.ok(Number.isNaN(numberOf("heavy")));
});
