// The canvas of the trace and its life: size, colours, redraw.
import { useEffect, useRef } from "preact/hooks";
import { drawTrace, type Palette } from "./draw.ts";
import { fixed } from "./format.ts";
import type { Seen } from "./state.ts";

function paletteOf(element: Element): Palette {
  const style = getComputedStyle(element);
  const colour = (name: string) => style.getPropertyValue(`--${name}`).trim();
  return {
    paper: colour("paper"), ink: colour("ink"), soft: colour("soft"), rule: colour("rule"),
    band: colour("band"), fill: colour("fill"), strike: colour("strike"),
    hatch: colour("hatch"),
    verdict: {
      sound: colour("sound"), doubtful: colour("doubtful"),
      void: colour("void"),
    },
  };
}

// Without motion the trace steps twice a second instead of gliding.
const STEP_MS = 500;
const still = window.matchMedia("(prefers-reduced-motion: reduce)");

function paint(canvas: HTMLCanvasElement, state: Seen): void {
  const { clientWidth: width, clientHeight: height } = canvas;
  const pen = canvas.getContext("2d");
  if (!pen || width === 0 || height === 0) return;
  const ratio = window.devicePixelRatio || 1;
  const [w, h] = [Math.round(width * ratio), Math.round(height * ratio)];
  if (canvas.width !== w || canvas.height !== h) {
    canvas.width = w;
    canvas.height = h;
  }
  pen.setTransform(ratio, 0, 0, ratio, 0, 0);
  const from = state.trace.end_s - state.trace.span_s;
  drawTrace(pen, width, height, state.trace, {
    range: state.hello?.force_range_n ?? null,
    bites: state.bites.filter((b) => b.sleeve === state.sleeve)
      .slice(0, 12).map((b) => b.bite).filter((b) => b.end_s > from),
    going: state.now?.bite ?? null,
    span_s: state.trace.span_s,
    em: parseFloat(getComputedStyle(canvas).fontSize),
  }, paletteOf(canvas));
}

export function TraceView({ state }: { state: Seen }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const latest = useRef(state);
  const drawn = useRef(0);
  latest.current = state;
  useEffect(() => {
    const at = performance.now();
    if (still.matches && at - drawn.current < STEP_MS) return;
    drawn.current = at;
    if (canvas.current) paint(canvas.current, state);
  });
  useEffect(() => {
    const again = () => {
      if (canvas.current) paint(canvas.current, latest.current);
    };
    const size = new ResizeObserver(again);
    if (canvas.current) size.observe(canvas.current);
    const night = window.matchMedia("(prefers-color-scheme: dark)");
    night.addEventListener("change", again);
    return () => {
      size.disconnect();
      night.removeEventListener("change", again);
    };
  }, []);
  const force = state.now?.force_n ?? null;
  const gaps = state.trace.runs().filter((r) => r.kind === "missing").length;
  const words = `Force over the last ${state.trace.span_s} seconds, in newtons` +
    (force === null ? "" : `; now ${fixed(force, 0)}`) +
    (gaps === 0 ? "" : `; samples missing in ${gaps} places`);
  return (
    <section class="trace">
      <canvas ref={canvas} role="img" aria-label={words} data-gaps={gaps} />
    </section>
  );
}
