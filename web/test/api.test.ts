// The page's own decoder against the golden examples in api/.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { DecodeError, decode } from "../src/decode.ts";
import type { Action } from "../src/messages.ts";

const api = join(process.cwd(), "..", "api");
const read = (name: string) => readFileSync(join(api, `${name}.json`), "utf8");

/** Every action of the page, by its example's name. */
const ACTIONS: Record<string, Action> = {
  up: { type: "up", dog: "Juno" },
  up_sleeve: { type: "up", dog: "Juno", sleeve: 1 },
  out: { type: "out" },
  out_sleeve: { type: "out", sleeve: 1 },
  zero: { type: "zero" },
  zero_sleeve: { type: "zero", sleeve: 1 },
  dog: { type: "dog", dog: "Fenn", breed: "Malinois", mass_kg: 26.5 },
  order: { type: "order", dogs: ["Juno", "Brisk"] },
  limit: { type: "limit", dog: "Brisk", bites: 6, minutes: null },
  note: { type: "note", text: "slipped", bite: 3 },
  void: {
    type: "void", bite: 3, reason: "the helper's knee pressed the sleeve",
  },
  restore: { type: "restore", bite: 3 },
  undo: { type: "undo" },
  checks_open: { type: "checks", stage: "before" },
  load: { type: "load", mass_kg: 20, sleeve: 0 },
  passed: { type: "passed" },
  passed_anyway: {
    type: "passed", anyway: "the check load is at the other field",
  },
  desk: {
    type: "desk", word: "strike", number: 12, reason: "it leaned", step: null,
  },
};

test("Every message to the page is decoded with nothing lost", () => {
  const names = readdirSync(api).filter((n) => n.endsWith(".json"))
    .map((n) => n.slice(0, -5)).filter((n) => !(n in ACTIONS));
  assert.equal(names.length, 16);
  for (const name of names) {
    const raw = JSON.parse(read(name)) as Record<string, unknown>;
    const message = decode(read(name)) as unknown as Record<string, unknown>;
    assert.ok(message, name);
    if (name.startsWith("bite")) {
      // Two measures are optional and read as null.
      raw["bite"] = {
        peak_lo_n: null, peak_hi_n: null, ...(raw["bite"] as object),
      };
    }
    assert.deepEqual(message, raw, name);
  }
});

test("The actions of the page are those of the examples", () => {
  for (const [name, action] of Object.entries(ACTIONS)) {
    assert.deepEqual(action, JSON.parse(read(name)), name);
  }
});

test("A message that is not as agreed is refused with its place", () => {
  const broken: [string, RegExp][] = [
    ["nonsense", /not JSON/],
    ["[]", /object/],
    ["{}", /type/],
    [read("trace").replace("[655.2, 661.0", "[655.2"), /high_n/],
    [read("trace").replace("0.05", "0"), /column_s/],
    [read("trace").replace("655.2", '"655.2"'), /low_n/],
    [read("now").replace('"bite"', '"flying"'), /state/],
    [read("bite").replace('"sound"', '"splendid"'), /verdict/],
    [read("bite").replace(": 2.85", ": null"), /duration_s/],
    [read("hello").replace("[49.06, 882.6]", "[49.06]"), /force_range_n/],
    [read("bench").replace('"settling"', '"dancing"'), /state/],
    [read("bench").replace("[0.0, 0.0]", "[0.0]"), /places_mm/],
    [read("bench").replace('"rising": true', '"rising": 1'), /rising/],
    [read("now").replace('"sleeve": 0', '"sleeve": 0.5'), /sleeve/],
    [read("trace").replace('"sleeve": 1,', ""), /sleeve/],
    [read("now").replace('"unix_s"', '"unix"'), /unix_s/],
    [read("day").replace('"bites": 3', '"bites": "3"'), /bites/],
    [read("day").replace('"Juno is up"', "7"), /undo/],
    [read("checks").replace('"look"', '"perhaps"'), /state/],
    [read("checks").replace('"within": true', '"within": 1'), /within/],
    [read("share").replace('"1', '"2'), /qr/],
    [read("share").replace('"1', '"11'), /qr/],
    [read("role").replace('"operator"', '"king"'), /role/],
  ];
  for (const [text, where] of broken) {
    assert.throws(() => decode(text), (error: unknown) =>
      error instanceof DecodeError && where.test(error.message), text);
  }
});

test("A type that this page does not know is passed over", () => {
  assert.equal(decode('{"type":"tomorrow"}'), null);
});
