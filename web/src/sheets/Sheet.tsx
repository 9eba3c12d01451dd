// A modal sheet: the browser's own dialog, so that Escape closes it, focus
// stays inside and returns to where it was. Open in the same breath as it is
// drawn: an Escape right after it counts.
import { createContext, type ComponentChildren } from "preact";
import { useContext, useLayoutEffect, useRef } from "preact/hooks";
import type { Notice } from "../state.ts";

/** What was said last, while it is fresh: a modal sheet must say it itself. */
export const SaidContext = createContext<Notice | null>(null);

export function Sheet(
  { title, close, children }:
  { title: ComponentChildren; close: () => void; children: ComponentChildren },
) {
  const said = useContext(SaidContext);
  const dialog = useRef<HTMLDialogElement>(null);
  useLayoutEffect(() => {
    dialog.current?.showModal();
  }, []);
  return (
    <dialog ref={dialog} class="sheet" aria-labelledby="sheet-title"
      onClose={close}
      onClick={(event) => {
        if (event.target === dialog.current) dialog.current?.close();
      }}>
      <div class="inside">
        <header>
          <h2 id="sheet-title">{title}</h2>
          <button class="close" onClick={() => dialog.current?.close()}>
            Close
          </button>
          <div class="said-here" role="status">
            {said && <p class={said.level}>{said.text}</p>}
          </div>
        </header>
        {children}
      </div>
    </dialog>
  );
}
