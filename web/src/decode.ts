// From the text of one WebSocket frame to a Message. A message that is not as
// api/README.md says is refused with the place that is wrong, never guessed at;
// a type this page does not know yet is passed over.
import { bench } from "./decode_bench.ts";
import { checks, day, share } from "./decode_day.ts";
import {
  array, DecodeError, fail, flag, measure, measures, number, object, text, word,
  type Fields,
} from "./fields.ts";
import type {
  Bite, Dog, GoingBite, Hello, Lights, Message, Now, Reason, TraceColumns,
} from "./messages.ts";

export { DecodeError };

function sleeve(f: Fields): number {
  const index = number(f, "sleeve");
  return Number.isInteger(index) && index >= 0 && index < 64
    ? index : fail("sleeve", "a sleeve's number");
}

function dog(value: unknown): Dog {
  const f = object(value, "roster");
  return {
    dog: text(f, "dog"), breed: text(f, "breed"),
    mass_kg: measure(f, "mass_kg"),
  };
}

function hello(f: Fields): Hello {
  const rig = object(f["rig"], "rig");
  const range = f["force_range_n"] === null
    ? null : measures(f, "force_range_n");
  if (range && (range.length !== 2 || range.includes(null))) {
    fail("force_range_n", "two numbers");
  }
  return {
    type: "hello",
    rig: {
      name: text(rig, "name"),
      channels: array(rig["channels"], "channels").map(String),
      sample_rate_hz: number(rig, "sample_rate_hz"),
      safe_load_n: measure(rig, "safe_load_n"),
    },
    calibrated: flag(f, "calibrated"),
    force_range_n: range as [number, number] | null,
    roster: array(f["roster"], "roster").map(dog),
    up: text(f, "up"),
    source: text(f, "source"),
    sleeves: array(f["sleeves"], "sleeves").map((value) =>
      ({ name: text(object(value, "sleeves"), "name") })),
    trace_span_s: number(f, "trace_span_s"),
    version: text(f, "version"),
  };
}

function trace(f: Fields): TraceColumns {
  const low_n = measures(f, "low_n");
  const high_n = measures(f, "high_n");
  if (low_n.length !== high_n.length) fail("high_n", "as long as low_n");
  const column_s = number(f, "column_s");
  if (column_s <= 0) fail("column_s", "above zero");
  return {
    type: "trace", sleeve: sleeve(f), whole: flag(f, "whole"), start_s: number(f, "start_s"),
    column_s, low_n, high_n,
  };
}

function lights(value: unknown): Lights {
  const f = object(value, "lights");
  return {
    link: word(f, "link", ["ok", "late", "lost"]),
    supply: word(f, "supply", ["ok", "low", "unknown"]),
    zero: word(f, "zero", ["ok", "wait", "moved"]),
  };
}

function going(value: unknown): GoingBite | null {
  if (value === null) return null;
  const f = object(value, "bite");
  return {
    start_s: number(f, "start_s"),
    duration_s: number(f, "duration_s"),
    peak_n: measure(f, "peak_n"),
    peak_u95_n: measure(f, "peak_u95_n"),
    squeeze_n: measure(f, "squeeze_n"),
    squeeze_u95_n: measure(f, "squeeze_u95_n"),
  };
}

function now(f: Fields): Now {
  return {
    type: "now",
    sleeve: sleeve(f),
    unix_s: number(f, "unix_s"),
    t_s: number(f, "t_s"),
    force_n: measure(f, "force_n"),
    state: word(f, "state", ["wait", "ready", "bite", "stale"]),
    up: text(f, "up"),
    bites_up: number(f, "bites_up"),
    lights: lights(f["lights"]),
    bite: going(f["bite"]),
  };
}

function reason(value: unknown): Reason {
  const f = object(value, "reasons");
  return {
    code: text(f, "code"), text: text(f, "text"),
    effect_n: measure(f, "effect_n"),
    start_s: measure(f, "start_s"), end_s: measure(f, "end_s"),
  };
}

function bite(value: unknown): Bite {
  const f = object(value, "bite");
  return {
    id: number(f, "id"),
    dog: text(f, "dog"),
    start_s: number(f, "start_s"),
    end_s: number(f, "end_s"),
    duration_s: number(f, "duration_s"),
    peak_n: measure(f, "peak_n"),
    peak_u95_n: measure(f, "peak_u95_n"),
    peak_lo_n: measure(f, "peak_lo_n"),
    peak_hi_n: measure(f, "peak_hi_n"),
    peak_at_s: measure(f, "peak_at_s"),
    strike_n: measure(f, "strike_n"),
    squeeze_n: measure(f, "squeeze_n"),
    squeeze_u95_n: measure(f, "squeeze_u95_n"),
    held_n: measure(f, "held_n"),
    impulse_ns: measure(f, "impulse_ns"),
    rise_s: measure(f, "rise_s"),
    loading_rate_n_s: measure(f, "loading_rate_n_s"),
    regrips: number(f, "regrips"),
    shake_hz: measure(f, "shake_hz"),
    held_cv: measure(f, "held_cv"),
    out_s: measure(f, "out_s"),
    x_mm: measure(f, "x_mm"),
    y_mm: measure(f, "y_mm"),
    verdict: word(f, "verdict", ["sound", "doubtful", "void"]),
    at_least: flag(f, "at_least"),
    reasons: array(f["reasons"], "reasons").map(reason),
  };
}

/** Null for a message of a type this page does not know. */
export function decode(json: string): Message | null {
  let parsed: unknown;
  try {
    parsed = JSON.parse(json);
  } catch {
    throw new DecodeError("the message is not JSON");
  }
  const f = object(parsed, "the message");
  switch (text(f, "type")) {
    case "role":
      return { type: "role", role: word(f, "role", ["operator", "onlooker"]) };
    case "hello": return hello(f);
    case "trace": return trace(f);
    case "now": return now(f);
    case "bite":
      return {
        type: "bite", sleeve: sleeve(f), bite: bite(f["bite"]),
        squeeze_u95_n: measure(f, "squeeze_u95_n"),
        spark: measures(f, "spark"), clock: text(f, "clock"),
      };
    case "day": return day(f);
    case "checks": return checks(f);
    case "share": return share(f);
    case "bench": return bench(f);
    case "say":
      return {
        type: "say", level: word(f, "level", ["info", "warn"]),
        text: text(f, "text"),
      };
    case "end": return { type: "end", text: text(f, "text") };
    case "done": return { type: "done", of: text(f, "of") };
    case "refused":
      return { type: "refused", of: text(f, "of"), text: text(f, "text") };
    default: return null;
  }
}
