// The bench desk's message.
import {
  array, fail, flag, measure, number, object, text, word, type Fields,
} from "./fields.ts";
import type { Bench, BenchReading, LoadStep } from "./messages.ts";

function step(f: Fields): LoadStep {
  return {
    series: number(f, "series"), rising: flag(f, "rising"),
    load: number(f, "load"), x_mm: number(f, "x_mm"), y_mm: number(f, "y_mm"),
  };
}

function benchReading(value: unknown): BenchReading {
  const f = object(value, "readings");
  return {
    number: number(f, "number"), ...step(f), settled: flag(f, "settled"),
    waited_s: number(f, "waited_s"),
    struck: f["struck"] === null ? null : text(f, "struck"),
  };
}

function place(value: unknown): [number, number] {
  const [x, y] = array(value, "places_mm");
  if (typeof x !== "number" || typeof y !== "number") {
    fail("places_mm", "pairs of numbers");
  }
  return [x, y];
}

export function bench(f: Fields): Bench {
  return {
    type: "bench", title: text(f, "title"), rig: text(f, "rig"),
    state: word(f, "state", ["asking", "settling", "impatient", "done"]),
    step: measure(f, "step"), steps: number(f, "steps"),
    read: number(f, "read"), series: number(f, "series"),
    load_unit: word(f, "load_unit", ["kg", "N"]),
    asked: f["asked"] === null ? null : step(object(f["asked"], "asked")),
    places_mm: array(f["places_mm"], "places_mm").map(place),
    waited_s: number(f, "waited_s"), patience_s: number(f, "patience_s"),
    silent_s: number(f, "silent_s"),
    channels: array(f["channels"], "channels").map((value) => {
      const c = object(value, "channels");
      return {
        name: text(c, "name"), signal: measure(c, "signal"),
        still: c["still"] === null ? null : flag(c, "still"),
      };
    }),
    readings: array(f["readings"], "readings").map(benchReading),
    words: array(f["words"], "words").map(String),
    said: text(f, "said"),
  };
}
