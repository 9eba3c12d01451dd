// Everything the page knows, and how each message changes it. The reducer is a
// pure function except for the trace, which is large and changed in place.
import type {
  Bench, BiteMessage, Checks, Day, Hello, Message, Now, Role, Share,
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

export interface State {
  link: Link;
  /** When the connection was lost, or null. */
  lost_ms: number | null;
  role: Role;
  hello: Hello | null;
  now: Now | null;
  /** Where the bench stands; null when a day is recorded. */
  bench: Bench | null;
  day: Day | null;
  checks: Checks | null;
  share: Share | null;
  /** When anything last came from the recorder. */
  heard_ms: number | null;
  /** Since when the sleeve itself has been silent, or null. */
  sleeve_silent_ms: number | null;
  bites: BiteMessage[]; // newest first
  /** Capture time at which this page joined; older bites are no news. */
  joined_s: number | null;
  ended: string | null;
  notice: Notice | null;
  /** The latest bite in words, for screen readers. */
  news: string;
  /** Actions sent and not yet answered. */
  waiting: string[];
  trace: Trace;
}

export function initialState(): State {
  return {
    link: "joining", lost_ms: null, role: "onlooker", hello: null, now: null,
    bench: null, day: null, checks: null, share: null,
    heard_ms: null, sleeve_silent_ms: null, bites: [], joined_s: null,
    ended: null, notice: null, news: "", waiting: [], trace: new Trace(),
  };
}

function withBite(state: State, message: BiteMessage): State {
  const id = message.bite.id;
  const known = state.bites.some((b) => b.bite.id === id);
  const bites = known
    ? state.bites.map((b) => (b.bite.id === id ? message : b))
    : [message, ...state.bites].sort((a, b) => b.bite.id - a.bite.id);
  const isNews = !known && state.joined_s !== null &&
    message.bite.end_s >= state.joined_s;
  return { ...state, bites, news: isNews ? newsOf(message) : state.news };
}

function newsOf({ bite }: BiteMessage): string {
  const who = bite.dog === "" ? "Bite" : bite.dog;
  return figureText(bite) === "no figure"
    ? `${who}: void, no figure.`
    : `${who}: ${spoken(bite)}, ${bite.verdict}.`;
}

function withNow(state: State, now: Now, at_ms: number): State {
  const silent = now.state === "stale";
  return {
    ...state, now,
    joined_s: state.joined_s ?? now.t_s,
    sleeve_silent_ms: silent ? (state.sleeve_silent_ms ?? at_ms) : null,
  };
}

const without = (list: string[], item: string): string[] => {
  const at = list.indexOf(item);
  return at < 0 ? list : [...list.slice(0, at), ...list.slice(at + 1)];
};

/** What the page shows while the operator's word is on its way and after. */
const DONE_WORDS: Record<string, string> = {
  out: "Out noted.", zero: "Zero: leave the sleeve alone for a second.",
  dog: "Added to the roster.",
};

export function reduce(state: State, message: Message, at_ms: number): State {
  const next = { ...state, heard_ms: at_ms };
  switch (message.type) {
    case "role": return { ...next, role: message.role };
    case "hello":
      next.trace.span_s = message.trace_span_s;
      return { ...next, hello: message };
    case "trace":
      next.trace.absorb(message);
      return next;
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
    ...state, link: "open", lost_ms: null, heard_ms: at_ms, joined_s: null,
    bites: [], bench: null, ended: null, waiting: [], trace: new Trace(),
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

/** Since when the shown figures are old, with the reason, or null while fresh. */
export function staleness(
  state: State, at_ms: number,
): { since_ms: number; why: string } | null {
  if (state.link === "lost") {
    return {
      since_ms: state.lost_ms ?? at_ms,
      why: "Not connected to the recorder; trying again",
    };
  }
  if (state.ended !== null) return null;
  if (state.now === null && state.bench === null) return null;
  if (state.sleeve_silent_ms !== null) {
    return { since_ms: state.sleeve_silent_ms, why: "No data from the sleeve" };
  }
  const heard = state.heard_ms ?? at_ms;
  const quiet_ms = 1000 * (state.bench?.silent_s ?? 0);
  if (quiet_ms > SILENCE_MS) {
    return { since_ms: heard - quiet_ms, why: "No data from the sleeve" };
  }
  return at_ms - heard > SILENCE_MS
    ? { since_ms: heard, why: "The recorder is silent" } : null;
}

/** The bite that the large figure shows after its end, or null. */
export function recentBite(state: State): BiteMessage | null {
  const newest = state.bites[0];
  if (!newest || !state.now) return null;
  // A new recording begins its clock at zero: older bites are not recent.
  const age_s = state.now.t_s - newest.bite.end_s;
  return age_s >= -1 && age_s <= RESULT_S ? newest : null;
}

/** Who comes after the dog that is up, in roster order; "" with fewer than two. */
export function nextDog(hello: Hello | null, up: string): string {
  const roster = hello?.roster ?? [];
  const at = roster.findIndex((entry) => entry.dog === up);
  const next = roster[(at + 1) % Math.max(1, roster.length)];
  return next && next.dog !== up ? next.dog : "";
}

export interface DogDay {
  dog: string;
  breed: string;
  bites: number;
  best: BiteMessage | null; // the highest figure that is not void
}

/** Today's dogs in roster order, with those that bit but are not on it. */
export function dogDays(state: State): DogDay[] {
  const days = new Map<string, DogDay>();
  for (const { dog, breed } of state.hello?.roster ?? []) {
    days.set(dog, { dog, breed, bites: 0, best: null });
  }
  for (const message of state.bites) {
    const { dog, peak_n, verdict } = message.bite;
    const day = days.get(dog) ?? { dog, breed: "", bites: 0, best: null };
    days.set(dog, day);
    day.bites += 1;
    if (peak_n === null || verdict === "void") continue;
    if (peak_n > (day.best?.bite.peak_n ?? -Infinity)) day.best = message;
  }
  return [...days.values()];
}
