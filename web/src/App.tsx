// The live page as page parts; what it shows is all in State.
import { useMemo, useState } from "preact/hooks";
import { BenchView } from "./Bench.tsx";
import { Bites } from "./Bites.tsx";
import { Dogs } from "./Dogs.tsx";
import { Figure } from "./Figure.tsx";
import { clock } from "./format.ts";
import { Head, Rest } from "./Head.tsx";
import type { Action } from "./messages.ts";
import { Operator } from "./Operator.tsx";
import { useWall, WALL } from "./route.ts";
import { SaidContext } from "./sheets/Sheet.tsx";
import { Sheets, type Open } from "./sheets/Sheets.tsx";
import { Sleeves } from "./SleeveTabs.tsx";
import { seen, staleness, type Seen, type State } from "./state.ts";
import { TraceView } from "./TraceView.tsx";
import { Wall } from "./Wall.tsx";

const NOTICE_MS = 6000;

interface Props {
  state: State;
  at_ms: number;
  act: (action: Action) => void;
}

interface ViewProps {
  state: Seen;
  old: string | null;
  act: (action: Action) => void;
  choose: (sleeve: number) => void;
}

function Status({ state, old }: { state: Seen; old: string | null }) {
  const said = state.notice;
  return (
    <div class="status">
      <div role="status">
        {old && <p class="since">{old}</p>}
        {!old && said && <p class={said.level}>{said.text}</p>}
      </div>
      {!old && !said && <Rest state={state} />}
    </div>
  );
}

function View({ state, old, act, choose }: ViewProps) {
  const [open, setOpen] = useState<Open | null>(null);
  const operator = state.role === "operator";
  // Drawn anew with a bite or a note, not with every sample: a day has hundreds.
  const bites = useMemo(() => (
    <Bites state={state} open={(id) => setOpen({ kind: "bite", id })}
      byDog={() => setOpen({ kind: "bydog" })} />
  ), [state.bites, state.day?.notes]);
  const classes = ["page", operator ? "operates" : "", old ? "old" : "",
    state.now?.state === "bite" ? "biting" : ""].filter(Boolean).join(" ");
  return (
    <main class={classes}>
      <div class="top">
        <Head state={state}
          {...(operator ? { choose: () => setOpen({ kind: "roster" }) } : {})} />
        {state.sleeves.length > 1 && (
          <Sleeves state={state} chosen={state.sleeve} choose={choose} />
        )}
        <Status state={state} old={old} />
      </div>
      <Figure state={state} />
      <TraceView state={state} />
      {bites}
      <div class="side">
        <Dogs state={state} />
        <p class="elsewhere"><a href={WALL}>Wall view for a large screen</a></p>
      </div>
      {operator && (
        <Operator state={state} act={act}
          more={() => setOpen({ kind: "more" })} />
      )}
      <p class="hidden" aria-live="polite">{state.news}</p>
      <SaidContext.Provider value={state.notice}>
        <Sheets state={state} act={act} open={open} show={setOpen} />
      </SaidContext.Provider>
    </main>
  );
}

export function App({ state: all, at_ms, act }: Props) {
  const [sleeve, setSleeve] = useState(0);
  const wall = useWall();
  const fresh = all.notice && at_ms - all.notice.at_ms < NOTICE_MS;
  const state: State = fresh ? all : { ...all, notice: null };
  const oldOf = (of: number): string | null => {
    const old = staleness(state, at_ms, of);
    return old && `${old.why} since ${clock(new Date(old.since_ms))}`;
  };
  if (state.bench) {
    return (
      <BenchView bench={state.bench} state={state} act={act}
        old={oldOf(0)} notice={state.notice} />
    );
  }
  if (wall) return <Wall state={state} oldOf={oldOf} />;
  const view = seen(state, sleeve);
  return (
    <View state={view} old={oldOf(view.sleeve)} act={act} choose={setSleeve} />
  );
}
