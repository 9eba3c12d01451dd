// The bites so far, newest first, and today's dogs.
import { figure, minutes } from "./format.ts";
import type { BiteMessage } from "./messages.ts";
import { Shape, Spark, UpArrow } from "./Shapes.tsx";
import { dogDays, type State } from "./state.ts";
import { fixed } from "./format.ts";
import { leadReason } from "./words.ts";

/**
 * "743 ± 6": without the unit, which the list's heading names. An interval of
 * two ends ("418 to 451") stands under the value.
 */
function Short({ message }: { message: BiteMessage }) {
  const f = figure(message.bite);
  if (f.value === "") return <span class="short none">no figure</span>;
  const ends = f.spread !== "" && !f.spread.startsWith("±");
  return (
    <span class={ends ? "short ends" : "short"}>
      <b>{f.value}</b>{f.spread && <i> {f.spread}</i>}
    </span>
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

function Line(
  { message, open }: { message: BiteMessage; open: (id: number) => void },
) {
  const { bite } = message;
  return (
    <li>
      <button class="bite" data-bite={bite.id} onClick={() => open(bite.id)}>
        {bite.at_least ? <UpArrow verdict={bite.verdict} />
          : <Shape verdict={bite.verdict} />}
        <span class="hidden">{bite.verdict}: </span>
        <Short message={message} />
        <span class="who">
          <b>{bite.dog || "nobody"}</b>
          <i>{note(message)}</i>
        </span>
        <Spark heights={message.spark} />
        <time>{moment(message)}</time>
      </button>
    </li>
  );
}

export function Bites(
  { state, open, byDog }:
  { state: State; open: (id: number) => void; byDog: () => void },
) {
  return (
    <section class="bites" aria-label="Bites, newest first">
      <div class="heading">
        <h2>Bites <small>peak, N</small></h2>
        {state.bites.length > 0 && (
          <button class="bydogs" aria-haspopup="dialog" onClick={byDog}>
            Dogs
          </button>
        )}
      </div>
      {state.bites.length === 0
        ? <p class="empty">The first bite will stand here.</p>
        : (
          <ol>
            {state.bites.map((message) => (
              <Line key={message.bite.id} message={message} open={open} />
            ))}
          </ol>
        )}
    </section>
  );
}

export function Dogs({ state }: { state: State }) {
  const up = state.now?.up ?? "";
  const days = dogDays(state);
  return (
    <section class="dogs" aria-label="Today's dogs">
      <h2>Today's dogs <small>highest, N</small></h2>
      {days.length === 0 && <p class="empty">The roster is empty.</p>}
      <ul>
        {days.map((day) => (
          <li key={day.dog} class={day.dog === up ? "up" : ""}>
            <span class="who">
              <b>{day.dog || "nobody"}</b>
              <i>{day.dog === up && day.dog ? "up now" : day.breed}</i>
            </span>
            <span class="count">
              {day.bites === 1 ? "1 bite" : `${day.bites} bites`}
            </span>
            {day.best
              ? (
                <>
                  {day.best.bite.at_least
                    ? <UpArrow verdict={day.best.bite.verdict} />
                    : <Shape verdict={day.best.bite.verdict} />}
                  <span class="hidden">{day.best.bite.verdict}: </span>
                  <Short message={day.best} />
                </>
              )
              : <span class="short none">{day.bites ? "no figure" : ""}</span>}
          </li>
        ))}
      </ul>
      <p class="caution">
        The highest of a few bites says little about who bites harder; the
        report says how much.
      </p>
    </section>
  );
}
