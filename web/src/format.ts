// Figures as text. A value ends at the place of its uncertainty; the
// uncertainty keeps one significant digit, two when it begins with 1 or 2
// (rounding 1.4 to 1 would change it by a third; common practice, cf. GUM
// 7.2.6: at most two digits). Thousands are set apart by a thin space (ISO
// 80000-1, 7.3.1). Never dependent on the browser's language.

export const NEWTON_PER_KGF = 9.80665; // exact, SI Brochure (standard gravity)

const THIN = "\u2009";
const MINUS = "\u2212";

/** `value` with `decimals` digits after the point, negative ones rounding to
 * tens, hundreds. */
export function fixed(value: number, decimals: number): string {
  const scale = 10 ** -decimals;
  const rounded = decimals < 0 ? Math.round(value / scale) * scale : value;
  const digits = Math.abs(rounded).toFixed(Math.max(0, decimals));
  const [whole = "", part] = digits.split(".");
  const grouped = whole.length > 4 || (whole.length === 4 && decimals <= 0)
    ? whole.replace(/\B(?=(\d{3})+$)/g, THIN) : whole;
  const zero = Number(digits) === 0;
  return (rounded < 0 && !zero ? MINUS : "") + grouped + (part ? `.${part}` : "");
}

/** The place at which an uncertainty ends: 1 for tenths, -1 for tens. */
export function placeOf(u: number): number {
  if (!(u > 0)) return 0;
  const exponent = Math.floor(Math.log10(u) + 1e-12);
  const twoDigits = Math.round(u / 10 ** (exponent - 1)); // 10 to 100
  return twoDigits < 30 ? 1 - exponent : 0 - exponent;
}

export interface Figure {
  /** "743", "≥ 812", or "" when there is no honest figure. */
  value: string;
  /** "± 6", "723 to 833", or "" when the uncertainty is not known. */
  spread: string;
  kgf: string;
}

export interface Peak {
  peak_n: number | null;
  peak_u95_n: number | null;
  peak_lo_n?: number | null;
  peak_hi_n?: number | null;
  at_least?: boolean;
  verdict?: string;
}

/** A peak with its interval. A void bite has no figure, whatever was read. */
export function figure(peak: Peak): Figure {
  const value = peak.peak_n;
  if (value === null || peak.verdict === "void") {
    return { value: "", spread: "", kgf: "" };
  }
  if (peak.at_least) {
    // A lower bound is rounded down: rounding up would claim too much.
    const kgf = Math.floor((value / NEWTON_PER_KGF) * 10) / 10;
    return {
      value: `≥ ${fixed(Math.floor(value), 0)}`, spread: "",
      kgf: `≥ ${fixed(kgf, 1)} kgf`,
    };
  }
  const lo = peak.peak_lo_n ?? null;
  const hi = peak.peak_hi_n ?? null;
  const u = lo !== null && hi !== null
    ? Math.max(hi - value, value - lo) : peak.peak_u95_n;
  if (u === null) {
    return {
      value: fixed(value, 0), spread: "",
      kgf: `${fixed(value / NEWTON_PER_KGF, 1)} kgf`,
    };
  }
  const ends = lo !== null && hi !== null;
  // Two ends are read as forces of their own: whole newtons at least.
  const place = ends ? Math.max(0, placeOf(u)) : placeOf(u);
  const spread = ends
    ? `${fixed(lo, place)} to ${fixed(hi, place)}` : `± ${fixed(u, place)}`;
  return {
    value: fixed(value, place), spread,
    kgf: `${fixed(value / NEWTON_PER_KGF, placeOf(u / NEWTON_PER_KGF))} kgf`,
  };
}

/** "743 ± 6 N" on one line. */
export function figureText(peak: Peak): string {
  const f = figure(peak);
  if (f.value === "") return "no figure";
  return f.spread === "" ? `${f.value} N` : `${f.value} ${f.spread} N`;
}

/** The same for a screen reader. */
export function spoken(peak: Peak): string {
  return figureText(peak)
    .replaceAll(THIN, "")
    .replace("≥", "at least")
    .replace("±", "plus or minus")
    .replace(/ N$/, " newtons");
}

/** A value with its half-width when that is known: "688 ± 6 N". */
export function withUncertainty(value: number, u: number | null): string {
  return figureText({ peak_n: value, peak_u95_n: u });
}

/** "2.9 s", "0.099 s". */
export function seconds(value: number): string {
  return `${fixed(value, value < 1 ? (value < 0.1 ? 3 : 2) : 1)} s`;
}

/** Capture time as minutes and seconds: "1:24". */
export function minutes(t_s: number): string {
  const whole = Math.max(0, Math.floor(t_s));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

/** A moment of this device's clock: "14:07:31". */
export function clock(date: Date): string {
  return [date.getHours(), date.getMinutes(), date.getSeconds()]
    .map((n) => String(n).padStart(2, "0")).join(":");
}
