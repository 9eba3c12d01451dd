// The messages of api/README.md as types. Units sit in the names; null is a
// measure that cannot be had.

export type Verdict = "sound" | "doubtful" | "void";
export type Role = "operator" | "onlooker";

export interface Dog {
  dog: string;
  breed: string;
  mass_kg: number | null;
}

export interface Hello {
  type: "hello";
  rig: {
    name: string;
    channels: string[];
    sample_rate_hz: number;
    safe_load_n: number | null;
  };
  calibrated: boolean;
  force_range_n: [number, number] | null;
  roster: Dog[];
  up: string;
  source: string;
  /** One entry a source, in their order. */
  sleeves: { name: string }[];
  trace_span_s: number;
  version: string;
}

export interface TraceColumns {
  type: "trace";
  sleeve: number;
  whole: boolean;
  start_s: number;
  column_s: number;
  low_n: (number | null)[];
  high_n: (number | null)[];
}

export interface Lights {
  link: "ok" | "late" | "lost";
  supply: "ok" | "low" | "unknown";
  zero: "ok" | "wait" | "moved";
}

/** The bite going on: the highest so far. */
export interface GoingBite {
  start_s: number;
  duration_s: number;
  peak_n: number | null;
  peak_u95_n: number | null;
  squeeze_n: number | null;
  squeeze_u95_n: number | null;
}

export interface Now {
  type: "now";
  sleeve: number;
  /** The recorder's clock: rest and turns are reckoned by it. */
  unix_s: number;
  t_s: number;
  force_n: number | null;
  state: "wait" | "ready" | "bite" | "stale";
  up: string;
  bites_up: number;
  lights: Lights;
  bite: GoingBite | null;
}

export interface Reason {
  code: string;
  text: string;
  effect_n: number | null;
  /** The span of samples it speaks of. */
  start_s: number | null;
  end_s: number | null;
}

export interface Bite {
  id: number;
  dog: string;
  start_s: number;
  end_s: number;
  duration_s: number;
  peak_n: number | null;
  peak_u95_n: number | null;
  peak_lo_n: number | null;
  peak_hi_n: number | null;
  peak_at_s: number | null;
  strike_n: number | null;
  squeeze_n: number | null;
  squeeze_u95_n: number | null;
  held_n: number | null;
  impulse_ns: number | null;
  rise_s: number | null;
  loading_rate_n_s: number | null;
  regrips: number;
  shake_hz: number | null;
  held_cv: number | null;
  out_s: number | null;
  x_mm: number | null;
  y_mm: number | null;
  verdict: Verdict;
  at_least: boolean;
  reasons: Reason[];
}

export interface BiteMessage {
  type: "bite";
  sleeve: number;
  bite: Bite;
  squeeze_u95_n: number | null;
  spark: (number | null)[];
  clock: string;
}

/** What has been made of one dog today. */
export interface DayDog {
  dog: string;
  bites: number;
  up_s: number;
  last_end_unix_s: number | null;
  limit_bites: number | null;
  limit_minutes: number | null;
}

export interface Note {
  id: number;
  clock: string;
  dog: string;
  bite: number | null;
  text: string;
}

export interface Day {
  type: "day";
  order: string[];
  dogs: DayDog[];
  notes: Note[]; // newest first
  /** What `undo` would take back. */
  undo: string | null;
}

export type Stage = "before" | "after";
export type CheckState =
  | "ok" | "look" | "bad" | "unknown" | "waiting" | "todo";

export interface CheckItem {
  what: string;
  state: CheckState;
  text: string;
  sleeve: number | null;
}

export interface CheckLoad {
  mass_kg: number;
  sleeve_n: number;
  sleeve_u95_n: number | null;
  difference_n: number;
  within: boolean;
}

export interface Checks {
  type: "checks";
  stage: Stage | "none";
  items: CheckItem[];
  load: CheckLoad | null;
  cautions: string[];
  passed: string | null;
}

export interface ShareLink {
  role: Role;
  url: string;
  /** The QR code's rows of 0 and 1, without its quiet zone. */
  qr: string[];
}

export interface Share {
  type: "share";
  links: ShareLink[];
}

/** A load that the bench asks for. */
export interface LoadStep {
  series: number;
  rising: boolean;
  /** 0: nothing on the sleeve. */
  load: number;
  x_mm: number;
  y_mm: number;
}

export interface BenchReading extends LoadStep {
  number: number;
  settled: boolean;
  waited_s: number;
  /** Why it does not count, or null. */
  struck: string | null;
}

/** Where a bench desk stands. */
export interface Bench {
  type: "bench";
  title: string;
  rig: string;
  state: "asking" | "settling" | "impatient" | "done";
  step: number | null;
  steps: number;
  read: number;
  series: number;
  load_unit: "kg" | "N";
  asked: LoadStep | null;
  places_mm: [number, number][];
  waited_s: number;
  patience_s: number;
  silent_s: number;
  channels: { name: string; signal: number | null; still: boolean | null }[];
  readings: BenchReading[];
  words: string[];
  said: string;
}

export interface RoleMessage {
  type: "role";
  role: Role;
}
export interface Say {
  type: "say";
  level: "info" | "warn";
  text: string;
}
export interface End {
  type: "end";
  text: string;
}
export interface Done {
  type: "done";
  of: string;
}
export interface Refused {
  type: "refused";
  of: string;
  text: string;
}

export type Message =
  | RoleMessage
  | Hello
  | TraceColumns
  | Now
  | BiteMessage
  | Day
  | Checks
  | Share
  | Bench
  | Say
  | End
  | Done
  | Refused;

/** Left out: the action is for every sleeve. */
interface OfSleeve {
  sleeve?: number;
}

export type Action =
  | { type: "up"; dog: string } & OfSleeve
  | { type: "out" } & OfSleeve
  | { type: "zero" } & OfSleeve
  | { type: "dog"; dog: string; breed: string; mass_kg: number | null }
  | { type: "order"; dogs: string[] }
  | { type: "limit"; dog: string; bites: number | null; minutes: number | null }
  | { type: "note"; text: string; bite: number | null }
  | { type: "void"; bite: number; reason: string }
  | { type: "restore"; bite: number }
  | { type: "undo" }
  | { type: "checks"; stage: Stage }
  | { type: "load"; mass_kg: number } & OfSleeve
  | { type: "passed"; anyway?: string }
  | {
    type: "desk"; word: string; number: number | null; reason: string;
    step: number | null;
  };
