// Which sheet is open. Only one is; when the last closes, focus goes back to
// where it was before the first.
import { useEffect, useRef } from "preact/hooks";
import type { Action } from "../messages.ts";
import type { Seen } from "../state.ts";
import { ByDog } from "./ByDog.tsx";
import { ChecksSheet } from "./Checks.tsx";
import { Evidence } from "./Evidence.tsx";
import { Limits } from "./Limits.tsx";
import { More } from "./More.tsx";
import { NoteSheet } from "./Note.tsx";
import { Order } from "./Order.tsx";
import { Roster } from "./Roster.tsx";
import { ShareSheet } from "./Share.tsx";

export type Open =
  | { kind: "bite"; id: number }
  | { kind: "note"; bite: number | null }
  | {
    kind: "bydog" | "more" | "roster" | "order" | "limits" | "checks" | "share";
  };

/** What every sheet of the operator gets. */
export interface SheetProps {
  state: Seen;
  act: (action: Action) => void;
  show: (open: Open | null) => void;
}

function useFocusBack(open: boolean): void {
  const before = useRef<Element | null>(null);
  if (open && before.current === null) before.current = document.activeElement;
  useEffect(() => {
    if (open || before.current === null) return;
    const back = before.current;
    before.current = null;
    if (document.activeElement === document.body && back instanceof HTMLElement) {
      back.focus();
    }
  }, [open]);
}

export function Sheets(
  { open, ...props }: SheetProps & { open: Open | null },
) {
  useFocusBack(open !== null);
  if (!open) return null;
  const operator = props.state.role === "operator";
  const close = () => props.show(null);
  if (open.kind === "bydog") return <ByDog state={props.state} close={close} />;
  if (open.kind === "bite") {
    const message = props.state.bites.find((b) => b.bite.id === open.id);
    return message ? <Evidence message={message} {...props} /> : null;
  }
  // An onlooker has no way here; whoever lost the role has none left.
  if (!operator) return null;
  switch (open.kind) {
    case "more": return <More {...props} />;
    case "roster": return <Roster {...props} />;
    case "order": return <Order {...props} />;
    case "limits": return <Limits {...props} />;
    case "note": return <NoteSheet bite={open.bite} {...props} />;
    case "checks": return <ChecksSheet {...props} />;
    case "share": return <ShareSheet {...props} />;
  }
}
