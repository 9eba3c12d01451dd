// The page's addresses for other phones: as a picture to point a camera at,
// and as text.
import type { ShareLink } from "../messages.ts";
import { Sheet } from "./Sheet.tsx";
import type { SheetProps } from "./Sheets.tsx";

/** Modules of paper around the code (ISO/IEC 18004: four). */
const QUIET = 4;

/** Dark runs of one row as one stroke each. */
function rowPath(row: string, y: number): string {
  let path = "";
  for (const run of row.matchAll(/1+/g)) {
    path += `M${run.index! + QUIET} ${y + QUIET}h${run[0].length}v1h-${run[0].length}z`;
  }
  return path;
}

export function Qr({ rows, words }: { rows: string[]; words: string }) {
  const size = rows.length + 2 * QUIET;
  return (
    <svg class="qr" viewBox={`0 0 ${size} ${size}`} role="img" aria-label={words}
      shape-rendering="crispEdges">
      <rect width={size} height={size} fill="#fff" />
      <path fill="#000" d={rows.map(rowPath).join("")} />
    </svg>
  );
}

const WHO: Record<ShareLink["role"], [string, string]> = {
  onlooker: ["To look on", "sees everything, changes nothing"],
  operator: ["To operate", "may do all that this page may; give it to few"],
};

function Link({ link }: { link: ShareLink }) {
  const [name, meaning] = WHO[link.role];
  return (
    <li>
      <h3>{name} <small>{meaning}</small></h3>
      {link.qr.length > 0 && (
        <Qr rows={link.qr} words={`QR code: ${name.toLowerCase()}`} />
      )}
      <p class="url">{link.url}</p>
    </li>
  );
}

export function ShareSheet({ state, show }: SheetProps) {
  const links = state.share?.links ?? [];
  // Onlookers first: theirs is the one to show around.
  const sorted = [...links].sort((a, b) => a.role.localeCompare(b.role));
  return (
    <Sheet title="Share" close={() => show(null)}>
      {links.length === 0
        ? (
          <p class="lead">
            The pages are not shared: only this machine can open them. A recording
            started with --share lets others in, each with a code.
          </p>
        )
        : <ul class="links">{sorted.map((l) => <Link key={l.url} link={l} />)}</ul>}
    </Sheet>
  );
}
