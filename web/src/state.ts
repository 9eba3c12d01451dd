// Everything the page knows, and how each message changes it. The reducer is a
// pure function except for the trace, which is large and changed in place.
import type {
  Bench, BiteMessage, Checks, Day, Hello, Message, Now, Role, Share,
  TraceColumns,
} from "./messages.ts";
import { Trace } from "./trace.ts";
import { figureText, spoken } from "./format.ts";

/** Silence after which what is shown counts as old, milliseconds. */
export const SILENCE_MS = 1500;
/** How long a measured bite stays the large figure: while its trace is seen. */
export const RESULT_S = 20;

export type Link = "joining" | "open" | "lost";

export interface Notice {
  level: "info" | "warn";
  text: string;
  /** Device time at which it came, milliseconds. */
  at_ms: number;
}

/** What is known of one sleeve. */
export interface SleeveState {
  now: Now | null;
  trace: Trace;
  /** Since when it has been silent, or null. */
  silent_ms: number | null;
  /** Its capture time at which this page joined; older bites are no news. */
  joined_s: number | null;
}

export interface State {
  link: Link;
  /** When the connection was lost, or null. */
  lost_ms: number | null;
  role: Role;
  hello: Hello | null;
  sleeves: SleeveState[];
  /** Where the bench stands; null when a day is recorded. */
  bench: Bench | null;
  day: Day | null;
  checks: Checks | null;
  share: Share | null;
  /** When anything last came from the recorder. */
  heard_ms: number | null;
  bites: BiteMessage[]; // newest first
  ended: string | null;
  notice: Notice | null;
  /** The latest bite in words, for screen readers. */
  news: string;
  /** Actions sent and not yet answered. */
  waiting: string[];
}

/** The state as seen from one sleeve. */
export type Seen = State & SleeveState & { sleeve: number };

function emptySleeve(): SleeveState {
  return { now: null, trace: new Trace(), silent_ms: null, joined_s: null };
}

export function initialState(): State {
  return {
    link: "joining", lost_ms: null, role: "onlooker", hello: null,
    sleeves: [emptySleeve()], bench: null, day: null, checks: null, share: null,
    heard_ms: null, bites: [], ended: null, notice: null, news: "", waiting: [],
  };
}

export function seen(state: State, sleeve: number): Seen {
  const index = sleeve < state.sleeves.length ? sleeve : 0;
  return { ...state, ...state.sleeves[index]!, sleeve: index };
}

/** All sleeves, with as many new ones as `count` asks for. */
function grown(state: State, count: number): SleeveState[] {
  const sleeves = [...state.sleeves];
  const span_s = state.hello?.trace_span_s;
  while (sleeves.length < count) {
    const sleeve = emptySleeve();
    if (span_s !== undefined) sleeve.trace.span_s = span_s;
    sleeves.push(sleeve);
  }
  return sleeves;
}

function withHello(state: State, hello: Hello): State {
  const sleeves = grown({ ...state, hello }, hello.sleeves.length);
  for (const { trace } of sleeves) trace.span_s = hello.trace_span_s;
  return { ...state, hello, sleeves };
}

function withBite(state: State, message: BiteMessage): State {
  const id = message.bite.id;
  const known = state.bites.some((b) => b.bite.id === id);
  const bites = known
    ? state.bites.map((b) => (b.bite.id === id ? message : b))
    : [message, ...state.bites].sort((a, b) => b.bite.id - a.bite.id);
  const joined_s = state.sleeves[message.sleeve]?.joined_s ?? null;
  const isNews = !known && joined_s !== null && message.bite.end_s >= joined_s;
  return { ...state, bites, news: isNews ? newsOf(message) : state.news };
}

function newsOf({ bite }: BiteMessage): string {
  const who = bite.dog === "" ? "Bite" : bite.dog;
  return figureText(bite) === "no figure"
    ? `${who}: void, no figure.`
    : `${who}: ${spoken(bite)}, ${bite.verdict}.`;
}

function withNow(state: State, now: Now, at_ms: number): State {
  const sleeves = grown(state, now.sleeve + 1);
  const before = sleeves[now.sleeve]!;
  const silent = now.state === "stale";
  sleeves[now.sleeve] = {
    ...before, now,
    joined_s: before.joined_s ?? now.t_s,
    silent_ms: silent ? (before.silent_ms ?? at_ms) : null,
  };
  return { ...state, sleeves };
}

function withTrace(state: State, columns: TraceColumns): State {
  const sleeves = grown(state, columns.sleeve + 1);
  sleeves[columns.sleeve]!.trace.absorb(columns);
  return { ...state, sleeves };
}

const without = (list: string[], item: string): string[] => {
  const at = list.indexOf(item);
  return at < 0 ? list : [...list.slice(0, at), ...list.slice(at + 1)];
};

/** What the page shows while the operator's word is on its way and after. */
const DONE_WORDS: Record<string, string> = {
  out: "Out noted.", zero: "Zero: leave the sleeve alone for a second.",
  dog: "Added to the roster.", note: "Noted.", undo: "Taken back.",
  void: "Struck out; what was measured is kept.", restore: "Restored.",
  limit: "Limit noted.", load: "Leave the load alone for a second.",
  passed: "Checks closed.",
};

export function reduce(state: State, message: Message, at_ms: number): State {
  const next = { ...state, heard_ms: at_ms };
  switch (message.type) {
    case "role": return { ...next, role: message.role };
    case "hello": return withHello(next, message);
    case "trace": return withTrace(next, message);
    case "now": return withNow(next, message, at_ms);
    case "bite": return withBite(next, message);
    case "day": return { ...next, day: message };
    case "checks": return { ...next, checks: message };
    case "share": return { ...next, share: message };
    case "bench": return { ...next, bench: message };
    case "say":
      return {
        ...next, notice: { level: message.level, text: message.text, at_ms },
      };
    case "end": return { ...next, ended: message.text };
    case "done": {
      const text = DONE_WORDS[message.of];
      return {
        ...next, waiting: without(state.waiting, message.of),
        notice: text ? { level: "info", text, at_ms } : next.notice,
      };
    }
    case "refused":
      return {
        ...next, waiting: without(state.waiting, message.of),
        notice: { level: "warn", text: `Not done: ${message.text}.`, at_ms },
      };
  }
}

/** The socket opened: what comes now is the whole picture anew. */
export function opened(state: State, at_ms: number): State {
  return {
    ...state, link: "open", lost_ms: null, heard_ms: at_ms,
    sleeves: state.sleeves.map(({ now }) => ({ ...emptySleeve(), now })),
    bites: [], bench: null, day: null, checks: null,
    share: null, ended: null, waiting: [],
    notice: state.link === "lost"
      ? { level: "info", text: "Connected again.", at_ms } : state.notice,
  };
}

export function closed(state: State, at_ms: number): State {
  const unsure = state.waiting.length > 0;
  return {
    ...state, link: "lost", lost_ms: state.lost_ms ?? at_ms, waiting: [],
    notice: unsure
      ? {
        level: "warn", at_ms,
        text: "The connection broke before an answer came; check what was done.",
      } : state.notice,
  };
}

interface Old {
  since_ms: number;
  why: string;
}

/** The bench desk's sleeve has said nothing for a while. */
function quietBench(state: State, heard_ms: number): Old | null {
  const quiet_ms = 1000 * (state.bench?.silent_s ?? 0);
  return quiet_ms > SILENCE_MS
    ? { since_ms: heard_ms - quiet_ms, why: "No data from the sleeve" } : null;
}

function quietSleeve(state: State, sleeve: number): Old | null {
  const since_ms = state.sleeves[sleeve]?.silent_ms ?? null;
  if (since_ms === null) return null;
  const which = state.sleeves.length > 1 ? `sleeve ${sleeve + 1}` : "the sleeve";
  return { since_ms, why: `No data from ${which}` };
}

/** Since when the figures of a sleeve are old, and why; null while fresh. */
export function staleness(
  state: State, at_ms: number, sleeve = 0,
): Old | null {
  if (state.link === "lost") {
    return {
      since_ms: state.lost_ms ?? at_ms,
      why: "Not connected to the recorder; trying again",
    };
  }
  if (state.ended !== null) return null;
  if (state.sleeves.every((s) => s.now === null) && state.bench === null) {
    return null;
  }
  const heard = state.heard_ms ?? at_ms;
  return quietSleeve(state, sleeve) ?? quietBench(state, heard) ??
    (at_ms - heard > SILENCE_MS
      ? { since_ms: heard, why: "The recorder is silent" } : null);
}

/** The bite that the large figure shows after its end, or null. */
export function recentBite(state: Seen): BiteMessage | null {
  const newest = newestBite(state);
  if (!newest || !state.now) return null;
  // A new recording begins its clock at zero: older bites are not recent.
  const age_s = state.now.t_s - newest.bite.end_s;
  return age_s >= -1 && age_s <= RESULT_S ? newest : null;
}

/** The newest bite of the sleeve, or null. */
export function newestBite(state: Seen): BiteMessage | null {
  return state.bites.find((b) => b.sleeve === state.sleeve) ?? null;
}
