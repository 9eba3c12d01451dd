// The large figure: the highest so far during a bite, the measured peak after
// it, otherwise whether the next dog may come.
import { figure, fixed, seconds, withUncertainty } from "./format.ts";
import type { BiteMessage, GoingBite, Now } from "./messages.ts";
import { UpArrow, VerdictWord } from "./Shapes.tsx";
import { newestBite, recentBite, type Seen } from "./state.ts";
import { leadReason } from "./words.ts";

/** Widths of text in em of its own size, on the safe side of common fonts. */
function widthOf(text: string, digit: number): number {
  let width = 0;
  for (const c of text) {
    width += c === " " ? 0.3 : c === "\u2009" ? 0.2 : c === "." ? 0.32 :
      c === "≥" || c === "±" ? 0.84 : digit;
  }
  return width;
}

const SMALL = 0.44; // of the interval beside the value
const BOLD = 0.7; // a digit's width
const PLAIN = 0.64;

function Large({ value, spread }: { value: string; spread: string }) {
  const unit = value === "" ? "" : "N";
  const arrow = value.startsWith("≥");
  // Never narrower than three digits: a rising figure must not jump.
  const w = Math.max(3 * BOLD, widthOf(value, BOLD)) + (arrow ? 0.7 : 0) +
    SMALL * (widthOf(spread, PLAIN) + widthOf(unit, 0.8) + 0.7);
  return (
    <p class="large" style={{ "--w": w.toFixed(2) }}>
      {arrow && <UpArrow verdict="doubtful" />}
      <b>{value}</b>{" "}
      <span>{spread && `${spread} `}{unit}</span>
    </p>
  );
}

function Going({ bite }: { bite: GoingBite }) {
  const f = figure(bite);
  return (
    <>
      <p class="label">highest so far</p>
      {f.value ? <Large {...f} /> : <p class="word">not calibrated</p>}
      <p class="under">{f.kgf} <span class="measuring">bite going on</span></p>
      <p class="more">
        {bite.squeeze_n !== null && (
          <>squeeze {withUncertainty(bite.squeeze_n, bite.squeeze_u95_n)} · </>
        )}
        held {fixed(bite.duration_s, 1)} s
      </p>
    </>
  );
}

function Measured({ message, now }: { message: BiteMessage; now: Now }) {
  const { bite, squeeze_u95_n } = message;
  const f = figure(bite);
  const reason = leadReason(bite);
  return (
    <>
      <p class="label">
        bite {bite.id}{bite.dog && bite.dog !== now.up && ` of ${bite.dog}`}
        {now.state === "ready" && <span> · ready for the next</span>}
        {now.state === "wait" && <span> · finding zero</span>}
      </p>
      {f.value ? <Large {...f} /> : <p class="word">no figure</p>}
      <p class="under">
        {f.kgf} <VerdictWord verdict={bite.verdict} atLeast={bite.at_least} />
        {reason && <span class="why">{reason}</span>}
      </p>
      <p class="more">
        {bite.squeeze_n !== null && bite.verdict !== "void" && (
          <>squeeze {withUncertainty(bite.squeeze_n, squeeze_u95_n)} · </>
        )}
        {bite.at_least ? "seen for" : "held"} {seconds(bite.duration_s)}
      </p>
    </>
  );
}

function Waiting({ now }: { now: Now }) {
  const ready = now.state === "ready";
  return (
    <>
      <p class="label">{ready ? "zero taken" : "leave the sleeve alone"}</p>
      <p class="word">{ready ? "ready" : "finding zero"}</p>
      <p class="under">
        {now.force_n === null ? "no force without a calibration"
          : `force now ${fixed(now.force_n, 0)} N`}
      </p>
    </>
  );
}

export function Figure({ state }: { state: Seen }) {
  const { now } = state;
  const recent = recentBite(state);
  const newest = newestBite(state);
  let inside = <p class="word">connecting</p>;
  if (now && state.ended !== null) {
    inside = (
      <>
        <p class="label">{state.ended}</p>
        <p class="word">ended</p>
      </>
    );
  } else if (now?.bite) {
    inside = <Going bite={now.bite} />;
  } else if (now && recent) {
    inside = <Measured message={recent} now={now} />;
  } else if (now?.state === "stale") {
    inside = newest ? <Measured message={newest} now={now} />
      : <p class="word">no data</p>;
  } else if (now) {
    inside = <Waiting now={now} />;
  }
  return <section class="figure" aria-label="The figure now">{inside}</section>;
}
