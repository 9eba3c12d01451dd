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
  trace_span_s: number;
  version: string;
}

export interface TraceColumns {
  type: "trace";
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
  bite: Bite;
  squeeze_u95_n: number | null;
  spark: (number | null)[];
  clock: string;
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
  | Bench
  | Say
  | End
  | Done
  | Refused;

export type Action =
  | { type: "up"; dog: string }
  | { type: "out" }
  | { type: "zero" }
  | { type: "dog"; dog: string; breed: string; mass_kg: number | null }
  | {
    type: "desk"; word: string; number: number | null; reason: string;
    step: number | null;
  };
