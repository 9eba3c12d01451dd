// Reads one field of a message, or says which is wrong.

export class DecodeError extends Error {}

export type Fields = Record<string, unknown>;

export function fail(where: string, what: string): never {
  throw new DecodeError(`${where} is not ${what}`);
}

export function object(value: unknown, where: string): Fields {
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    fail(where, "an object");
  }
  return value as Fields;
}

export function array(value: unknown, where: string): unknown[] {
  return Array.isArray(value) ? value : fail(where, "a list");
}

export function number(fields: Fields, key: string): number {
  const value = fields[key];
  return typeof value === "number" && Number.isFinite(value)
    ? value : fail(key, "a number");
}

// A measure: a number, or null when it cannot be had. Missing counts as null,
// so that an older recorder's bites can still be shown.
export function measure(fields: Fields, key: string): number | null {
  return fields[key] === null || fields[key] === undefined
    ? null : number(fields, key);
}

export function text(fields: Fields, key: string): string {
  const value = fields[key];
  return typeof value === "string" ? value : fail(key, "a text");
}

export function flag(fields: Fields, key: string): boolean {
  const value = fields[key];
  return typeof value === "boolean" ? value : fail(key, "true or false");
}

export function word<W extends string>(
  fields: Fields, key: string, words: readonly W[],
): W {
  const value = fields[key];
  return words.find((w) => w === value) ?? fail(key, words.join(", "));
}

export function measures(fields: Fields, key: string): (number | null)[] {
  return array(fields[key], key).map((value) =>
    value === null || (typeof value === "number" && Number.isFinite(value))
      ? value : fail(key, "numbers and nulls"));
}

/** A text, or null where there is none. */
export function maybe(fields: Fields, key: string): string | null {
  return fields[key] === null ? null : text(fields, key);
}

export function texts(fields: Fields, key: string): string[] {
  return array(fields[key], key).map((value) =>
    typeof value === "string" ? value : fail(key, "a list of texts"));
}
