// What people type: names to look for, numbers with a comma or a point.

/** NaN for what is no number, null for nothing. */
export function numberOf(text: string): number | null {
  const trimmed = text.trim();
  // A comma is what half the world's keyboards give for a decimal point.
  return trimmed === "" ? null : Number(trimmed.replace(",", "."));
}

/** Letters without case and accents, so that "azor" finds "Ázor". */
function plain(text: string): string {
  return text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
}

export function sameName(a: string, b: string): boolean {
  return plain(a.trim()) === plain(b.trim());
}

/** True when every word looked for stands somewhere in `texts`. */
export function matches(words: string, texts: string[]): boolean {
  const all = plain(texts.join(" "));
  return plain(words).split(/\s+/).every((word) => all.includes(word));
}
