// The field day's messages: what has been made of it, its checks, its links.
import {
  array, fail, flag, maybe, measure, number, object, text, texts, word,
  type Fields,
} from "./fields.ts";
import type {
  CheckItem, CheckLoad, Checks, Day, DayDog, Note, Share, ShareLink,
} from "./messages.ts";

function dayDog(value: unknown): DayDog {
  const f = object(value, "dogs");
  return {
    dog: text(f, "dog"), bites: number(f, "bites"), up_s: number(f, "up_s"),
    last_end_unix_s: measure(f, "last_end_unix_s"),
    limit_bites: measure(f, "limit_bites"),
    limit_minutes: measure(f, "limit_minutes"),
  };
}

function note(value: unknown): Note {
  const f = object(value, "notes");
  return {
    id: number(f, "id"), clock: text(f, "clock"), dog: text(f, "dog"),
    bite: measure(f, "bite"), text: text(f, "text"),
  };
}

export function day(f: Fields): Day {
  return {
    type: "day", order: texts(f, "order"),
    dogs: array(f["dogs"], "dogs").map(dayDog),
    notes: array(f["notes"], "notes").map(note),
    undo: maybe(f, "undo"),
  };
}

function item(value: unknown): CheckItem {
  const f = object(value, "items");
  return {
    what: text(f, "what"),
    state: word(f, "state",
      ["ok", "look", "bad", "unknown", "waiting", "todo"]),
    text: text(f, "text"), sleeve: measure(f, "sleeve"),
  };
}

function load(value: unknown): CheckLoad | null {
  if (value === null) return null;
  const f = object(value, "load");
  return {
    mass_kg: number(f, "mass_kg"), sleeve_n: number(f, "sleeve_n"),
    sleeve_u95_n: measure(f, "sleeve_u95_n"),
    difference_n: number(f, "difference_n"), within: flag(f, "within"),
  };
}

export function checks(f: Fields): Checks {
  return {
    type: "checks", stage: word(f, "stage", ["before", "after", "none"]),
    items: array(f["items"], "items").map(item), load: load(f["load"]),
    cautions: texts(f, "cautions"), passed: maybe(f, "passed"),
  };
}

/** A QR code is square and holds nothing but 0 and 1. */
function square(rows: string[]): string[] {
  const fits = (row: string) =>
    row.length === rows.length && /^[01]*$/.test(row);
  return rows.every(fits) ? rows : fail("qr", "a square of 0 and 1");
}

function link(value: unknown): ShareLink {
  const f = object(value, "links");
  return {
    role: word(f, "role", ["operator", "onlooker"]), url: text(f, "url"),
    qr: square(texts(f, "qr")),
  };
}

export function share(f: Fields): Share {
  return { type: "share", links: array(f["links"], "links").map(link) };
}
