// The bench: one person with full hands reads from afar what to put where,
// whether to keep off, and what was recorded.
import { useLayoutEffect, useState } from "preact/hooks";
import type { Action, Bench, BenchReading, LoadStep } from "./messages.ts";
import { Sheet } from "./sheets/Sheet.tsx";
import type { Notice, State } from "./state.ts";

interface Props {
  bench: Bench;
  state: State;
  act: (action: Action) => void;
  /** Why what is shown is old, or null while it is fresh. */
  old: string | null;
  notice: Notice | null;
}

const REASONS = ["it leaned", "something touched it", "wrong weight",
  "wrong place"];

/** The desk's word as an action. */
export function deskAction(
  word: string, more: { number?: number; reason?: string; step?: number | null } = {},
): Action {
  return {
    type: "desk", word, number: more.number ?? null,
    reason: more.reason ?? "", step: more.step ?? null,
  };
}

const loadText = (bench: Bench, load: number): string =>
  load === 0 ? "nothing on" : `${load} ${bench.load_unit}`;

const placeText = (step: LoadStep): string =>
  `${step.x_mm} along, ${step.y_mm} across (mm)`;

const placeNumber = (bench: Bench, step: LoadStep): number =>
  1 + bench.places_mm.findIndex(([x, y]) => x === step.x_mm && y === step.y_mm);

/** What the band says: where one stands, and what was just done. */
export function bandText(bench: Bench): string {
  const last = bench.readings.find((r) => r.struck === null);
  switch (bench.state) {
    case "asking":
      if (last) return `Reading ${last.number} recorded. Next:`;
      return bench.asked?.load === 0 ? "To begin:"
        : bench.load_unit === "kg" ? "Put on:" : "Bring it to:";
    case "settling":
      return `Hands off. Settling, ${bench.waited_s.toFixed(0)} s`;
    case "impatient":
      return `Does not settle, ${bench.waited_s.toFixed(0)} s`;
    case "done": return "The plan is done";
  }
}

function Places({ bench }: { bench: Bench }) {
  const { asked, places_mm } = bench;
  if (!asked || places_mm.length < 2) return null;
  const xs = places_mm.map(([x]) => x);
  const ys = places_mm.map(([, y]) => y);
  const span = Math.max(
    Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys), 1);
  const pad = 0.14 * span;
  const [left, top] = [Math.min(...xs) - pad, -Math.max(...ys) - pad];
  const width = Math.max(...xs) - Math.min(...xs) + 2 * pad;
  const height = Math.max(...ys) - Math.min(...ys) + 2 * pad;
  return (
    <svg class="places" viewBox={`${left} ${top} ${width} ${height}`}
      role="img" aria-label={`Place ${placeNumber(bench, asked)} of ${places_mm.length}`}>
      <rect x={left} y={top} width={width} height={height} rx={0.05 * span} />
      {places_mm.map(([x, y], i) => (
        <circle key={i} cx={x} cy={-y} r={0.02 * span} />
      ))}
      <circle class="here" cx={asked.x_mm} cy={-asked.y_mm} r={0.065 * span} />
    </svg>
  );
}

function Asked({ bench }: { bench: Bench }) {
  const { asked } = bench;
  if (!asked) {
    return <div class="asked"><p class="load">Done</p>
      <p class="where">{bench.read} of {bench.steps} readings recorded</p></div>;
  }
  const many = bench.places_mm.length > 1;
  return (
    <div class="asked">
      <p class="label">
        Series {asked.series} of {bench.series}
        {asked.load > 0 && (asked.rising ? " · going up" : " · coming down")}
      </p>
      <p class={asked.load === 0 ? "load words" : "load"}>
        {asked.load === 0 ? "Take all off"
          : <>{asked.load}<small> {bench.load_unit}</small></>}
      </p>
      <p class="where">
        {many && <b>Place {placeNumber(bench, asked)}: </b>}{placeText(asked)}
      </p>
      <Places bench={bench} />
    </div>
  );
}

function Channels({ bench }: { bench: Bench }) {
  return (
    <ul class="channels" aria-label="What each channel prints">
      {bench.channels.map((c) => (
        <li key={c.name} class={c.still === false ? "moves" : ""}>
          {c.name} <b>{c.signal === null ? "–" : Math.round(c.signal)}</b>
          {c.still !== null && <i> {c.still ? "still" : "moves"}</i>}
        </li>
      ))}
    </ul>
  );
}

interface StrikeProps {
  reading: BenchReading;
  drop: boolean;
  say: (word: string, number: number, reason: string) => void;
}

function Strike({ reading, drop, say }: StrikeProps) {
  const [reason, setReason] = useState("");
  const give = (text: string) => say("strike", reading.number, text);
  return (
    <form class="strike" onSubmit={(event) => {
      event.preventDefault();
      if (reason.trim() !== "") give(reason.trim());
    }}>
      <p>Why strike out reading {reading.number}? It is kept with its reason,
        and its load asked for again.</p>
      <div class="why">
        {REASONS.map((text) => (
          <button type="button" key={text} onClick={() => give(text)}>{text}</button>
        ))}
      </div>
      <label>Another reason
        <input name="reason" value={reason} maxLength={120} autocomplete="off"
          onInput={(e) => setReason((e.target as HTMLInputElement).value)} />
      </label>
      <button type="submit" disabled={reason.trim() === ""}>Strike out</button>
      {drop && (
        <button type="button" disabled={reason.trim() === ""}
          onClick={() => say("drop", reading.number, reason.trim())}>
          Strike out for good
        </button>
      )}
    </form>
  );
}

interface MoreProps {
  bench: Bench;
  act: (action: Action) => void;
  close: () => void;
}

function More({ bench, act, close }: MoreProps) {
  const [chosen, setChosen] = useState<number | null>(null);
  const can = (word: string) => bench.words.includes(word);
  const say = (action: Action) => {
    act(action);
    close();
  };
  return (
    <Sheet title="Readings" close={close}>
      {bench.readings.length === 0 && <p class="empty">Nothing was read yet.</p>}
      <ul class="readings">
        {bench.readings.map((r) => (
          <li key={r.number} class={r.struck === null ? "" : "struck"}>
            <span class="what">
              <b>{r.number}</b> {loadText(bench, r.load)}
              <small>{placeText(r)}{r.settled ? "" : ", not settled"}
                {r.struck !== null && `, struck out: ${r.struck}`}</small>
            </span>
            {r.struck === null && can("strike") && (
              <button onClick={() => setChosen(r.number)}
                aria-expanded={chosen === r.number}>Strike</button>
            )}
            {chosen === r.number && r.struck === null && (
              <Strike reading={r} drop={can("drop")}
                say={(word, number, reason) =>
                  say(deskAction(word, { number, reason }))} />
            )}
          </li>
        ))}
      </ul>
      {can("skip") && (
        <button class="wide" onClick={() => say(deskAction("skip"))}>
          Leave this load out</button>
      )}
      {can("stop") && (
        <button class="wide" onClick={() => say(deskAction("stop"))}>
          Stop here; the same command goes on later</button>
      )}
    </Sheet>
  );
}

function Keys({ bench, state, act, off }: Omit<Props, "old" | "notice"> & { off: boolean }) {
  const [more, setMore] = useState(false);
  const busy = state.waiting.includes("desk");
  const asking = bench.state === "asking" && bench.step !== null;
  const impatient = bench.state === "impatient";
  const main = () => {
    if (off || busy) return;
    if (asking) act(deskAction("ok", { step: bench.step }));
    else if (impatient) act(deskAction("take"));
  };
  const again = () => {
    if (!off && !busy && bench.readings.length > 0) act(deskAction("again"));
  };
  // At once: a key right after the next load is shown is for that load.
  useLayoutEffect(() => {
    const press = (event: KeyboardEvent) => {
      const at = event.target as HTMLElement;
      if (event.repeat || at.closest("dialog, button, input")) return;
      if (event.key === "Enter") main();
      if (event.key === "a") again();
    };
    addEventListener("keydown", press);
    return () => removeEventListener("keydown", press);
  });
  return (
    <footer class="keys" aria-label="Operator">
      <button class="main" disabled={off || busy || !(asking || impatient)}
        aria-busy={busy} onClick={main}>
        {impatient ? "Take it as it is"
          : bench.state === "settling" ? "Wait"
          : bench.state === "done" ? "Done" : "It is in place"}
      </button>
      <button disabled={off || busy || bench.readings.length === 0} onClick={again}>
        Again<small> last reading</small></button>
      <button disabled={off} aria-haspopup="dialog" onClick={() => setMore(true)}>
        Readings…</button>
      <p class="hint">Keys: Enter for the large button, A for again.</p>
      {more && <More bench={bench} act={act} close={() => setMore(false)} />}
    </footer>
  );
}

export function BenchView({ bench, state, act, old, notice }: Props) {
  const ended = state.ended;
  const off = state.link !== "open" || ended !== null || old !== null;
  const shown = ended !== null ? "ended" : old ? "old" : bench.state;
  return (
    <div class={`bench ${old || ended !== null ? "old" : ""}`} data-state={shown}>
      <header class="head">
        <h1>{bench.title}</h1>
        <p class="count">{bench.read} of {bench.steps}</p>
        <progress max={bench.steps} value={bench.read} aria-label="Readings done" />
      </header>
      <p class="band" role="status">
        {ended ?? old ?? bandText(bench)}
      </p>
      <Asked bench={bench} />
      <div class="below">
        <p class={notice?.level === "warn" ? "said warn" : "said"}>
          {notice?.level === "warn" ? notice.text : bench.said}
        </p>
        <Channels bench={bench} />
      </div>
      {state.role === "operator"
        ? <Keys bench={bench} state={state} act={act} off={off} />
        : <p class="onlooker">This page looks on. Words are given on the machine
          that the sleeve is plugged into.</p>}
    </div>
  );
}
