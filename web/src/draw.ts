// The trace on a canvas. Drawn by hand and not by a chart library: the band of
// lowest and highest, hatched gaps, the calibrated range, the strike, the
// squeeze and the peak's whisker are all marks of this job; a library would be
// left with the axes.
import { fixed } from "./format.ts";
import type { GoingBite, Bite, Verdict } from "./messages.ts";
import { axisTicks, axisTop, type Run, type Trace } from "./trace.ts";

export interface Palette {
  paper: string;
  ink: string;
  soft: string; // axis words
  rule: string;
  band: string; // the calibrated range
  fill: string; // under the line
  strike: string;
  hatch: string;
  verdict: Record<Verdict, string>;
}

export interface Marks {
  range: [number, number] | null;
  bites: Bite[];
  going: GoingBite | null;
  span_s: number;
  /** Scale of words for a large screen. */
  em: number;
}

interface Frame {
  left: number;
  right: number;
  top: number;
  bottom: number;
  x(t_s: number): number;
  y(force_n: number): number;
  highest: number;
}

function frameOf(
  trace: Trace, marks: Marks, width: number, height: number,
): Frame {
  const em = marks.em;
  const { low, high } = trace.extremes();
  const highest = axisTop(high);
  const lowest = Math.min(low, -0.03 * highest);
  const left = 3.1 * em;
  const right = width - 0.5 * em;
  const top = 0.9 * em;
  const bottom = height - 1.7 * em;
  const end = trace.end_s;
  return {
    left, right, top, bottom, highest,
    x: (t) => right - ((end - t) / marks.span_s) * (right - left),
    y: (f) => bottom - ((f - lowest) / (highest - lowest)) * (bottom - top),
  };
}

type Pen = CanvasRenderingContext2D;

function axes(pen: Pen, f: Frame, marks: Marks, colours: Palette): void {
  const em = marks.em;
  if (marks.range) {
    const low = Math.max(f.top, f.y(marks.range[1]));
    pen.fillStyle = colours.band;
    pen.fillRect(f.left, low, f.right - f.left, f.y(marks.range[0]) - low);
  }
  pen.font = `${em}px system-ui, sans-serif`;
  pen.textBaseline = "middle";
  pen.textAlign = "right";
  for (const tick of axisTicks(f.highest)) {
    const y = Math.round(f.y(tick)) + 0.5;
    pen.strokeStyle = tick === 0 ? colours.soft : colours.rule;
    pen.lineWidth = 1;
    pen.beginPath();
    pen.moveTo(f.left, y);
    pen.lineTo(f.right, y);
    pen.stroke();
    pen.fillStyle = colours.soft;
    pen.fillText(tick === 0 ? "0 N" : fixed(tick, 0), f.left - 0.45 * em, y);
  }
  pen.textBaseline = "alphabetic";
  const words = f.bottom + 1.35 * em;
  for (let back = 0; back <= marks.span_s; back += 5) {
    const x = f.right - (back / marks.span_s) * (f.right - f.left);
    pen.strokeStyle = colours.soft;
    pen.beginPath();
    pen.moveTo(x, f.bottom);
    pen.lineTo(x, f.bottom + 0.3 * em);
    pen.stroke();
    if (back % 10 !== 0) continue;
    pen.textAlign = back === 0 ? "right" : back < marks.span_s ? "center" : "left";
    pen.fillText(back === 0 ? "now" : `\u2212${back} s`, x, words);
  }
}

/** Where words of this width stand clear of what rises above `force_n`: as far
 * left as may be, and there too when nothing is clear. */
function clearOf(trace: Trace, f: Frame, force_n: number, width: number): number {
  let from = f.left;
  for (let i = 0; i < trace.length; ++i) {
    const x = f.x(trace.start_s + i * trace.column_s);
    if (x > from + width) break;
    if ((trace.at(i)?.high ?? 0) > force_n && x > f.left) {
      from = f.x(trace.start_s + (i + 1) * trace.column_s);
    }
  }
  return from + width <= f.right ? from : f.left;
}

/** Says what a dashed line means where the axis goes beyond the range. */
function beyond(pen: Pen, trace: Trace, f: Frame, marks: Marks,
                colours: Palette): void {
  if (!marks.range || f.y(marks.range[1]) - f.top < 1.2 * marks.em) return;
  pen.font = `${0.9 * marks.em}px system-ui, sans-serif`;
  pen.textAlign = "left";
  pen.textBaseline = "bottom";
  const words = `no calibration above ${fixed(marks.range[1], 0)} N`;
  const width = pen.measureText(words).width + 0.8 * marks.em;
  const x = clearOf(trace, f, 0.97 * marks.range[1], width) + 0.4 * marks.em;
  const y = f.y(marks.range[1]) - 2;
  pen.lineWidth = 5;
  pen.strokeStyle = colours.paper;
  pen.strokeText(words, x, y);
  pen.fillStyle = colours.soft;
  pen.fillText(words, x, y);
}

/** Diagonal lines over a stretch where samples are missing. */
function hatch(pen: Pen, f: Frame, x0: number, x1: number, marks: Marks,
               colours: Palette): void {
  const width = Math.max(3, x1 - x0);
  const height = f.bottom - f.top;
  pen.save();
  pen.beginPath();
  pen.rect(x0, f.top, width, height);
  pen.clip();
  pen.strokeStyle = colours.hatch;
  pen.lineWidth = 1;
  pen.beginPath();
  for (let x = x0 - height; x < x0 + width; x += 6) {
    pen.moveTo(x, f.bottom);
    pen.lineTo(x + height, f.top);
  }
  pen.moveTo(x0 + 0.5, f.top);
  pen.lineTo(x0 + 0.5, f.bottom);
  pen.moveTo(x0 + width - 0.5, f.top);
  pen.lineTo(x0 + width - 0.5, f.bottom);
  pen.stroke();
  pen.restore();
  const word = "no samples";
  pen.font = `${0.9 * marks.em}px system-ui, sans-serif`;
  if (pen.measureText(word).width + 12 > width) return;
  pen.save();
  pen.textAlign = "center";
  pen.textBaseline = "top";
  pen.lineWidth = 5;
  pen.strokeStyle = colours.paper;
  pen.strokeText(word, x0 + width / 2, f.top + 4);
  pen.fillStyle = colours.ink;
  pen.fillText(word, x0 + width / 2, f.top + 4);
  pen.restore();
}

/** One unbroken run: the band between lowest and highest, as one outline. */
function outline(trace: Trace, f: Frame, run: Run): Path2D {
  const path = new Path2D();
  const middle = (i: number) =>
    f.x(trace.start_s + (i + 0.5) * trace.column_s);
  for (let i = run.from; i < run.to; ++i) {
    const column = trace.at(i);
    if (!column) continue;
    if (i === run.from) path.moveTo(middle(i), f.y(column.high));
    else path.lineTo(middle(i), f.y(column.high));
  }
  for (let i = run.to - 1; i >= run.from; --i) {
    const column = trace.at(i);
    if (column) path.lineTo(middle(i), f.y(column.low));
  }
  path.closePath();
  return path;
}

function under(trace: Trace, f: Frame, run: Run): Path2D {
  const path = new Path2D();
  const middle = (i: number) =>
    f.x(trace.start_s + (i + 0.5) * trace.column_s);
  path.moveTo(middle(run.from), f.y(0));
  for (let i = run.from; i < run.to; ++i) {
    const column = trace.at(i);
    if (column) path.lineTo(middle(i), f.y(Math.max(0, column.low)));
  }
  path.lineTo(middle(run.to - 1), f.y(0));
  path.closePath();
  return path;
}

/** The line: solid where calibrated, dashed where loads were never put on. */
function line(pen: Pen, trace: Trace, f: Frame, run: Run, marks: Marks,
              colours: Palette): void {
  const path = outline(trace, f, run);
  const limit = marks.range ? Math.max(f.top, f.y(marks.range[1])) : f.top - 4;
  pen.lineJoin = "round";
  pen.strokeStyle = colours.ink;
  pen.fillStyle = colours.ink;
  pen.lineWidth = 0.11 * marks.em;
  pen.save();
  pen.beginPath();
  pen.rect(0, limit, f.right + 4, f.bottom + 4 - limit);
  pen.clip();
  pen.fillStyle = colours.fill;
  pen.fill(under(trace, f, run));
  pen.fillStyle = colours.ink;
  pen.fill(path);
  pen.stroke(path);
  pen.restore();
  if (limit <= f.top) return;
  pen.save();
  pen.beginPath();
  pen.rect(0, 0, f.right + 4, limit);
  pen.clip();
  pen.setLineDash([4, 3]);
  pen.stroke(path);
  pen.restore();
}

function strike(pen: Pen, f: Frame, start_s: number, colours: Palette): void {
  const x0 = Math.max(f.left, f.x(start_s));
  const x1 = Math.min(f.right, f.x(start_s + 0.2));
  if (x1 <= x0) return;
  pen.fillStyle = colours.strike;
  pen.fillRect(x0, f.top, Math.max(2, x1 - x0), f.bottom - f.top);
}

function squeeze(pen: Pen, trace: Trace, f: Frame, level: number | null,
                 start_s: number, end_s: number, colour: string,
                 em: number): void {
  const place = level === null ? null : trace.squeezePlace(start_s, end_s);
  if (!place || level === null) return;
  const y = f.y(level);
  // A quarter second is a few pixels: wide enough to be seen as a bar.
  const least = 0.9 * em;
  const x1 = Math.min(f.right, Math.max(f.x(place.from_s + 0.25),
    f.x(place.from_s) + least));
  const x0 = Math.min(f.x(place.from_s), x1 - least);
  pen.strokeStyle = colour;
  pen.lineWidth = 0.42 * em;
  pen.beginPath();
  pen.moveTo(x0, y);
  pen.lineTo(x1, y);
  pen.stroke();
}

/** The peak: a dot, its interval a whisker, or an arrow up for a lower bound. */
function peak(pen: Pen, f: Frame, bite: Bite, colours: Palette,
              em: number): void {
  if (bite.peak_n === null || bite.peak_at_s === null) return;
  if (bite.verdict === "void" || f.x(bite.peak_at_s) < f.left) return;
  const x = f.x(bite.peak_at_s);
  const y = f.y(bite.peak_n);
  const colour = colours.verdict[bite.verdict];
  const u = bite.peak_u95_n ?? 0;
  const hi = bite.at_least ? y - 1.2 * em : f.y(bite.peak_hi_n ?? bite.peak_n + u);
  const lo = bite.at_least ? y : f.y(bite.peak_lo_n ?? bite.peak_n - u);
  const wing = 0.4 * em;
  pen.strokeStyle = colour;
  pen.fillStyle = colour;
  pen.lineWidth = 0.14 * em;
  pen.beginPath();
  pen.moveTo(x, lo);
  pen.lineTo(x, hi);
  if (bite.at_least) {
    pen.moveTo(x - wing, hi + wing);
    pen.lineTo(x, hi);
    pen.lineTo(x + wing, hi + wing);
  } else if (lo - hi > 0.5 * em) {
    pen.moveTo(x - wing, hi);
    pen.lineTo(x + wing, hi);
    pen.moveTo(x - wing, lo);
    pen.lineTo(x + wing, lo);
  }
  pen.stroke();
  pen.beginPath();
  pen.arc(x, y, 0.3 * em, 0, 2 * Math.PI);
  pen.fill();
}

export function drawTrace(
  pen: Pen, width: number, height: number, trace: Trace, marks: Marks,
  colours: Palette,
): void {
  pen.clearRect(0, 0, width, height);
  const f = frameOf(trace, marks, width, height);
  axes(pen, f, marks, colours);
  for (const run of trace.runs()) {
    if (run.kind !== "missing") continue;
    const x0 = f.x(trace.start_s + run.from * trace.column_s);
    const x1 = f.x(trace.start_s + run.to * trace.column_s);
    hatch(pen, f, Math.max(f.left, x0), x1, marks, colours);
  }
  beyond(pen, trace, f, marks, colours);
  for (const bite of marks.bites) strike(pen, f, bite.start_s, colours);
  if (marks.going) strike(pen, f, marks.going.start_s, colours);
  for (const run of trace.runs()) {
    if (run.kind === "samples") line(pen, trace, f, run, marks, colours);
  }
  for (const bite of marks.bites) {
    if (bite.verdict !== "void") {
      squeeze(pen, trace, f, bite.squeeze_n, bite.start_s, bite.end_s,
        colours.verdict[bite.verdict], marks.em);
    }
    peak(pen, f, bite, colours, marks.em);
  }
  if (marks.going) {
    const { start_s, duration_s, squeeze_n } = marks.going;
    squeeze(pen, trace, f, squeeze_n, start_s, start_s + duration_s,
      colours.verdict.sound, marks.em);
  }
}
