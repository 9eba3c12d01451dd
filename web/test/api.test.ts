// The page's own decoder against the golden examples in api/.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { DecodeError, decode } from "../src/decode.ts";
import type { Action } from "../src/messages.ts";

const api = join(process.cwd(), "..", "api");
const read = (name: string) => readFileSync(join(api, `${name}.json`), "utf8");
const TO_RECORDER = ["up", "out", "zero", "dog", "desk"];

test("Every message to the page is decoded with nothing lost", () => {
  const names = readdirSync(api).filter((n) => n.endsWith(".json"))
    .map((n) => n.slice(0, -5)).filter((n) => !TO_RECORDER.includes(n));
  assert.equal(names.length, 12);
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
  const actions: Action[] = [
    { type: "up", dog: "Juno" }, { type: "out" }, { type: "zero" },
    { type: "dog", dog: "Fenn", breed: "Malinois", mass_kg: 26.5 },
    {
      type: "desk", word: "strike", number: 12, reason: "it leaned", step: null,
    },
  ];
  for (const action of actions) {
    assert.deepEqual(action, JSON.parse(read(action.type)));
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
