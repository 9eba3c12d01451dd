// The last seconds of force as columns of lowest and highest sample, so that a
// peak is never lost between two pixels. A column is one of three things: two
// numbers; `null`, samples are missing there; or `undefined`, this page has
// not received it (it joined later or fell behind), which claims nothing.
import type { TraceColumns } from "./messages.ts";

export type Column = { low: number; high: number } | null | undefined;

/** A run of columns of one kind, [from, to) as indices of the store. */
export interface Run {
  from: number;
  to: number;
  kind: "samples" | "missing" | "unknown";
}

function kindOf(column: Column): Run["kind"] {
  if (column === undefined) return "unknown";
  return column === null ? "missing" : "samples";
}

export class Trace {
  /** Left edge of column 0, in column widths from the capture's start. */
  private first = 0;
  private columns: Column[] = [];
  column_s = 0.05;

  constructor(public span_s = 20) {}

  get length(): number { return this.columns.length; }
  get start_s(): number { return this.first * this.column_s; }
  get end_s(): number {
    return (this.first + this.columns.length) * this.column_s;
  }
  at(index: number): Column { return this.columns[index]; }

  /** The index of the column that holds the moment `t_s`; may lie outside. */
  indexOf(t_s: number): number {
    return Math.floor(t_s / this.column_s + 1e-6) - this.first;
  }

  /** Takes columns in. The same column may come twice: the later one counts. */
  absorb(message: TraceColumns): void {
    const start = Math.round(message.start_s / message.column_s);
    // Columns of another width, or from before all that is held (the
    // recorder began anew), cannot be joined on.
    const joins = !message.whole && this.columns.length > 0 &&
      message.column_s === this.column_s && start >= this.first &&
      (start - this.first) * this.column_s <= 2 * this.span_s;
    if (!joins) {
      this.first = start;
      this.columns = [];
      this.column_s = message.column_s;
    }
    message.low_n.forEach((low, i) => {
      const high = message.high_n[i] ?? null;
      const index = start + i - this.first;
      while (this.columns.length < index) this.columns.push(undefined);
      this.columns[index] = low === null || high === null
        ? null : { low, high };
    });
    const most = Math.round(this.span_s / this.column_s);
    const extra = this.columns.length - most;
    if (extra > 0) {
      this.columns.splice(0, extra);
      this.first += extra;
    }
  }

  /** The columns as runs of one kind, oldest first. */
  runs(): Run[] {
    const runs: Run[] = [];
    this.columns.forEach((column, i) => {
      const kind = kindOf(column);
      const last = runs[runs.length - 1];
      if (last && last.kind === kind) last.to = i + 1;
      else runs.push({ from: i, to: i + 1, kind });
    });
    return runs;
  }

  /** Lowest and highest force held; zero is always within. */
  extremes(): { low: number; high: number } {
    let low = 0;
    let high = 0;
    for (const column of this.columns) {
      if (!column) continue;
      low = Math.min(low, column.low);
      high = Math.max(high, column.high);
    }
    return { low, high };
  }

  /** Where a bite's squeeze was: the 0.25 s from 0.20 s after its start whose
   * columns have the highest mean (the figure itself comes with the bite).
   * Null when that stretch is not held whole. */
  squeezePlace(start_s: number, end_s: number): { from_s: number } | null {
    const width = Math.max(1, Math.round(0.25 / this.column_s));
    let best = -Infinity;
    let from = -1;
    const last = this.indexOf(end_s) - width;
    const begin = Math.ceil((start_s + 0.2) / this.column_s) - this.first;
    for (let i = begin; i <= last; ++i) {
      let sum = 0;
      for (let k = i; k < i + width; ++k) {
        const column = this.columns[k];
        sum += column ? (column.low + column.high) / 2 : NaN;
      }
      if (sum > best) {
        best = sum;
        from = i;
      }
    }
    return from < 0 ? null : { from_s: (this.first + from) * this.column_s };
  }
}

/** The top of the force axis: a round number with some air above `high`. */
export function axisTop(high: number): number {
  const steps = [200, 300, 400, 500, 600, 800, 1000, 1200, 1500,
    2000, 2500, 3000, 4000, 5000, 6000, 8000, 10000];
  return steps.find((step) => step >= high * 1.08) ?? Math.ceil(high / 5000) * 5000;
}

/** Ticks from 0 to `top`, three to five of them. */
export function axisTicks(top: number): number[] {
  const step = [25, 50, 100, 200, 250, 500, 1000, 2000, 2500, 5000]
    .find((s) => top / s <= 4) ?? top;
  const ticks: number[] = [];
  for (let tick = 0; tick <= top + 1e-9; tick += step) ticks.push(tick);
  return ticks;
}
