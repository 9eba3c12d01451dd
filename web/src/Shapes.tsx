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

/** A bite's course in miniature; missing samples leave a hatched hole. */
export function Spark({ heights }: { heights: (number | null)[] }) {
  const width = 96;
  const height = 28;
  const step = width / Math.max(1, heights.length);
  const y = (h: number) => (height - 1.5 - h * (height - 3)).toFixed(1);
  let path = "";
  const holes: preact.JSX.Element[] = [];
  heights.forEach((h, i) => {
    const x = (i + 0.5) * step;
    if (h === null) {
      const left = i * step;
      holes.push(
        <path d={`M${left.toFixed(1)} ${height}l${step.toFixed(1)} ${-height}`} />,
      );
      return;
    }
    const joined = i > 0 && heights[i - 1] !== null;
    path += `${joined ? "L" : "M"}${x.toFixed(1)} ${y(h)}`;
  });
  return (
    <svg class="spark" viewBox={`0 0 ${width} ${height}`}
      preserveAspectRatio="none" aria-hidden="true">
      <path class="base" d={`M0 ${height - 1}H${width}`} />
      <g class="holes">{holes}</g>
      <path class="line" d={path} />
    </svg>
  );
}
