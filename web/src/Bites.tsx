// The bites so far, newest first.
import { useState } from "preact/hooks";
import { figure, fixed, minutes } from "./format.ts";
import type { BiteMessage } from "./messages.ts";
import { Shape, Spark, UpArrow } from "./Shapes.tsx";
import type { State } from "./state.ts";
import { leadReason } from "./words.ts";

/** Lines that a phone shows before it is asked for all. */
const FIRST = 6;

/**
 * "743 ± 6": without the unit, which the list's heading names. An interval of
 * two ends ("418 to 451") stands under the value.
 */
export function Short({ message }: { message: BiteMessage }) {
  const f = figure(message.bite);
  if (f.value === "") return <span class="short none">no figure</span>;
  const ends = f.spread !== "" && !f.spread.startsWith("±");
  return (
    <span class={ends ? "short ends" : "short"}>
      <b>{f.value}</b>{f.spread && <i> {f.spread}</i>}
    </span>
  );
}

/** The verdict's shape, or the arrow of a lower bound, with its word. */
export function Judged({ message }: { message: BiteMessage }) {
  const { verdict, at_least } = message.bite;
  return (
    <>
      {at_least ? <UpArrow verdict={verdict} /> : <Shape verdict={verdict} />}
      <span class="hidden">{verdict}: </span>
    </>
  );
}

function note(message: BiteMessage): string {
  const reason = leadReason(message.bite);
  if (reason) return reason;
  const squeeze = message.bite.squeeze_n;
  return squeeze === null ? "" : `squeeze ${fixed(squeeze, 0)}`;
}

/** "14:06" for the list; the seconds stand in the evidence. */
function moment(message: BiteMessage): string {
  return message.clock === ""
    ? minutes(message.bite.start_s) : message.clock.slice(0, 5);
}

interface LineProps {
  message: BiteMessage;
  noted: boolean;
  open: (id: number) => void;
}

function Line({ message, noted, open }: LineProps) {
  const { bite } = message;
  return (
    <li>
      <button class="bite" data-bite={bite.id} onClick={() => open(bite.id)}>
        <Judged message={message} />
        <Short message={message} />
        <span class="who">
          <b>{bite.dog || "nobody"}</b>
          <i>{note(message)}{noted && " · noted"}</i>
        </span>
        <Spark heights={message.spark} />
        <time>{moment(message)}</time>
      </button>
    </li>
  );
}

interface Props {
  state: State;
  open: (id: number) => void;
  byDog: () => void;
}

export function Bites({ state, open, byDog }: Props) {
  const [all, setAll] = useState(false);
  const noted = new Set(state.day?.notes.map((n) => n.bite));
  const count = state.bites.length;
  return (
    <section class={all ? "bites all" : "bites"} aria-label="Bites, newest first">
      <div class="heading">
        <h2>Bites <small>peak, N</small></h2>
        {count > 0 && (
          <button class="bydogs" aria-haspopup="dialog" onClick={byDog}>
            Compare
          </button>
        )}
      </div>
      {count === 0
        ? <p class="empty">The first bite will stand here.</p>
        : (
          <ol>
            {state.bites.map((message) => (
              <Line key={message.bite.id} message={message} open={open}
                noted={noted.has(message.bite.id)} />
            ))}
          </ol>
        )}
      {count > FIRST && !all && (
        <button class="rest-of" onClick={() => setAll(true)}>
          All {count} bites
        </button>
      )}
    </section>
  );
}
