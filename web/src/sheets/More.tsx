// All that the operator may do beyond "out" and the next dog.
import { newestBite } from "../state.ts";
import { forSleeve } from "../Operator.tsx";
import { Sheet } from "./Sheet.tsx";
import type { Open, SheetProps } from "./Sheets.tsx";

interface TileProps {
  name: string;
  hint: string;
  off?: boolean;
  go: () => void;
  kind: string;
}

function Tile({ name, hint, off, go, kind }: TileProps) {
  return (
    <button class={`tile to-${kind}`} disabled={off ?? false} onClick={go}>
      <b>{name}</b> <small>{hint}</small>
    </button>
  );
}

function Undo({ state, act }: Pick<SheetProps, "state" | "act">) {
  const undo = state.day?.undo ?? null;
  return (
    <button class="wide undo" disabled={undo === null}
      aria-busy={state.waiting.includes("undo")}
      onClick={() => act({ type: "undo" })}>
      Take back{" "}
      <small>{undo ?? "nothing to take back"}</small>
    </button>
  );
}

export function More({ state, act, show }: SheetProps) {
  const biting = state.now?.state === "bite";
  const to = (open: Open) => () => show(open);
  const stage = state.checks?.stage ?? "none";
  const newest = newestBite(state);
  const several = state.sleeves.length > 1;
  return (
    <Sheet title={several ? `More, sleeve ${state.sleeve + 1}` : "More"}
      close={() => show(null)}>
      <div class="tiles">
        <Tile kind="roster" name="Dogs" hint="who is up, add one"
          go={to({ kind: "roster" })} />
        <Tile kind="order" name="Running order" hint="who comes when"
          go={to({ kind: "order" })} />
        <Tile kind="note" name="Note"
          hint={newest ? "on a bite or this moment" : "on this moment"}
          go={to({ kind: "note", bite: null })} />
        <Tile kind="limits" name="Limits" hint="bites and minutes of a dog"
          go={to({ kind: "limits" })} />
        <Tile kind="zero" name="Set zero" off={biting}
          hint={biting ? "not during a bite" : "nobody touches the sleeve"}
          go={() => {
            act({ type: "zero", ...forSleeve(state) });
            show(null);
          }} />
        <Tile kind="checks" name="Checks"
          hint={stage === "none" ? "before, after; check load" : "going on"}
          go={to({ kind: "checks" })} />
        <Tile kind="share" name="Share" hint="this page for others"
          go={to({ kind: "share" })} />
        <a class="tile" href="#wall"><b>Wall view</b>{" "}
          <small>for a large screen</small></a>
      </div>
      <Undo state={state} act={act} />
    </Sheet>
  );
}
