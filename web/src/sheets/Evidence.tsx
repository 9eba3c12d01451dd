// Why one bite is believed or not, and everything measured of it.
import { figureText, figure, fixed, minutes, seconds, withUncertainty } from "../format.ts";
import type { Bite, BiteMessage } from "../messages.ts";
import { Sheet } from "./Sheet.tsx";
import type { SheetProps } from "./Sheets.tsx";
import { BiteActions, BiteNotes } from "./Strike.tsx";
import { Spark, VerdictWord } from "../Shapes.tsx";
import {
  AT_LEAST_MEANING, STRUCK_MEANING, VERDICT_MEANING, reasonWords,
} from "../words.ts";

interface RowProps {
  name: string;
  meaning: string;
  value: string;
  wraps?: boolean;
}

function Row({ name, meaning, value, wraps }: RowProps) {
  return (
    <div class={wraps ? "wraps" : ""}>
      <dt>{name} <small>{meaning}</small></dt>
      <dd>{value}</dd>
    </div>
  );
}

function place(bite: Bite): string | null {
  if (bite.x_mm === null) return null;
  const side = bite.x_mm >= 0 ? "toward the elbow" : "toward the hand";
  const along = `${fixed(Math.abs(bite.x_mm), 0)} mm ${side}`;
  return bite.y_mm === null
    ? along : `${along}, ${fixed(bite.y_mm, 0)} mm across`;
}

function interval(bite: Bite): string {
  if (bite.verdict === "void" || bite.peak_n === null) return "none";
  if (bite.at_least) return `from ${fixed(Math.floor(bite.peak_n), 0)} N up, no upper end`;
  const u = bite.peak_u95_n;
  const lo = bite.peak_lo_n ?? (u === null ? null : bite.peak_n - u);
  const hi = bite.peak_hi_n ?? (u === null ? null : bite.peak_n + u);
  return lo === null || hi === null
    ? "not known" : `${fixed(lo, 0)} to ${fixed(hi, 0)} N`;
}

// Signed like a method of the figures: without an honest figure there are none.
function Rows({ message }: { message: BiteMessage }) {
  const { bite } = message;
  const where = place(bite);
  const none = bite.verdict === "void";
  return (
    <dl>
      <Row name="Peak" meaning="the highest total force"
        value={figureText(bite)} />
      <Row name="Interval" meaning="holds the true peak in 95 of 100 bites"
        value={interval(bite)} />
      {!none && bite.strike_n !== null && (
        <Row name="Strike" meaning="the highest in the first 0.2 s"
          value={`${fixed(bite.strike_n, 0)} N`} />
      )}
      {!none && bite.squeeze_n !== null && (
        <Row name="Squeeze" meaning="the highest mean over a quarter second after that"
          value={withUncertainty(bite.squeeze_n, message.squeeze_u95_n)} />
      )}
      {!none && bite.held_n !== null && (
        <Row name="Held" meaning="mean force while above half the peak"
          value={`${fixed(bite.held_n, 0)} N`} />
      )}
      <Row name="Length" meaning="from first touch to letting go"
        value={seconds(bite.duration_s)} />
      {!none && bite.rise_s !== null && (
        <Row name="Rise" meaning="from a tenth to nine tenths of the peak"
          value={seconds(bite.rise_s)} />
      )}
      {!none && bite.impulse_ns !== null && (
        <Row name="Impulse" meaning="force added up over the time"
          value={`${fixed(bite.impulse_ns, 0)} N s`} />
      )}
      {bite.regrips > 0 && (
        <Row name="Re-grips" meaning="short releases inside the bite"
          value={String(bite.regrips)} />
      )}
      {bite.out_s !== null && (
        <Row name="Out" meaning="from the command to letting go"
          value={seconds(bite.out_s)} />
      )}
      {where !== null && (
        <Row name="Place" meaning="middle of the grip, from the sleeve's middle"
          value={where} wraps />
      )}
    </dl>
  );
}

function meaning(bite: Bite): string {
  if (bite.reasons.some((r) => r.code === "withdrawn")) return STRUCK_MEANING;
  return VERDICT_MEANING[bite.verdict].replace(
    "; see why below", bite.reasons.length ? "; see why below" : "");
}

export function Evidence({ message, ...props }: SheetProps & { message: BiteMessage }) {
  const { bite } = message;
  const operator = props.state.role === "operator";
  const close = () => props.show(null);
  const f = figure(bite);
  const who = bite.dog || "nobody";
  return (
    <Sheet title={`Bite ${bite.id}, ${who}`} close={close}>
      <p class="moment">
        {message.clock
          ? `at ${message.clock}` : `${minutes(bite.start_s)} into the recording`}
      </p>
      <p class="peak">
        {f.value ? figureText(bite) : "no figure"}
        {f.kgf && <small>{f.kgf}</small>}
      </p>
      <p class="judged">
        <VerdictWord verdict={bite.verdict} atLeast={bite.at_least} />
        <span>{meaning(bite)}</span>
        {bite.at_least && <span>{AT_LEAST_MEANING}</span>}
      </p>
      <Spark heights={message.spark} />
      {bite.reasons.length > 0 && (
        <ul class="reasons">
          {bite.reasons.map((reason) => {
            const words = reasonWords(reason.code);
            return (
              <li key={reason.code}>
                <h3>{words.short} <code>{reason.code}</code></h3>
                <p>{reason.text}.</p>
                <p class="meaning">
                  {words.meaning}
                  {reason.effect_n !== null &&
                    ` It may have changed the peak by up to ${fixed(reason.effect_n, 0)} N.`}
                </p>
              </li>
            );
          })}
        </ul>
      )}
      <BiteNotes bite={bite} state={props.state} />
      <Rows message={message} />
      {operator && <BiteActions bite={bite} {...props} />}
    </Sheet>
  );
}
