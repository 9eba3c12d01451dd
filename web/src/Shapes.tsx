// The verdict's shapes. They say in grey, in print and to a colour-blind eye
// what the colour only repeats.
import type { Verdict } from "./messages.ts";

/** A filled disc, a half disc, an open ring with a bar, 20 wide. */
export function VerdictMark({ verdict }: { verdict: Verdict }) {
  return (
    <>
      {verdict === "sound" && <circle cx="10" cy="10" r="8.5" />}
      {verdict === "doubtful" && (
        <>
          <circle class="ring" cx="10" cy="10" r="7.5" />
          <path d="M10 2.5a7.5 7.5 0 0 0 0 15z" />
        </>
      )}
      {verdict === "void" && (
        <>
          <circle class="ring" cx="10" cy="10" r="7.5" />
          <path class="ring" d="M4.7 15.3 15.3 4.7" />
        </>
      )}
    </>
  );
}

export function Shape({ verdict }: { verdict: Verdict }) {
  return (
    <svg class={`shape ${verdict}`} viewBox="0 0 20 20" aria-hidden="true">
      <VerdictMark verdict={verdict} />
    </svg>
  );
}

export function ArrowMark() {
  return <path class="ring" d="M10 18V3M4 9l6-6 6 6" />;
}

/** Only a lower bound is known: an arrow up. */
export function UpArrow({ verdict }: { verdict: Verdict }) {
  return (
    <svg class={`shape ${verdict}`} viewBox="0 0 20 20" aria-hidden="true">
      <ArrowMark />
    </svg>
  );
}

/** Shape and word. The arrow takes the shape's place before a lower bound. */
export function VerdictWord(
  { verdict, atLeast = false }: { verdict: Verdict; atLeast?: boolean },
) {
  return (
    <span class={`verdict ${verdict}`}>
      <Shape verdict={verdict} />
      {verdict}{atLeast && ", at least"}
    </span>
  );
}

const WIDTH = 96;
const HEIGHT = 28;
/** Between the hatching's lines. */
const APART = 6;

/** Hatching over a run of missing heights, [from, to) in the picture. */
function holePath(from: number, to: number): string {
  let path = "";
  const last = Math.max(to - APART, from);
  for (let x = from; x <= last + 1e-9; x += APART) {
    path += `M${x.toFixed(1)} ${HEIGHT}l${Math.min(APART, to - from).toFixed(1)} ${-HEIGHT}`;
  }
  return path;
}

/** A bite's course in miniature; missing samples leave a hatched hole. */
export function Spark({ heights }: { heights: (number | null)[] }) {
  const step = WIDTH / Math.max(1, heights.length);
  const y = (h: number) => (HEIGHT - 1.5 - h * (HEIGHT - 3)).toFixed(1);
  let path = "";
  let holes = "";
  let hole = -1; // where the run of missing heights began
  heights.forEach((h, i) => {
    if (h === null) {
      if (hole < 0) hole = i;
      return;
    }
    if (hole >= 0) holes += holePath(hole * step, i * step);
    hole = -1;
    const joined = i > 0 && heights[i - 1] !== null;
    path += `${joined ? "L" : "M"}${((i + 0.5) * step).toFixed(1)} ${y(h)}`;
  });
  if (hole >= 0) holes += holePath(hole * step, WIDTH);
  return (
    <svg class="spark" viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      preserveAspectRatio="none" aria-hidden="true">
      <path class="base" d={`M0 ${HEIGHT - 1}H${WIDTH}`} />
      <path class="holes" d={holes} />
      <path class="line" d={path} />
    </svg>
  );
}
