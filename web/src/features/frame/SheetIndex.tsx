/** The index of sheets: same plan, same place, another subject. */

import { type JobView, sheetNames } from "../../document/address.ts";
import { isOnSheet, type Keynote } from "../../document/keynotes.ts";
import { text } from "../../text.ts";
import { Link } from "../../ui/Link.tsx";

export function SheetIndex({ view, keynotes }: { view: JobView; keynotes: Keynote[] }) {
  return (
    <nav className="sheet-index" aria-label={text.sheets.label}>
      <ul>
        {sheetNames.map((sheet, place) => {
          const count = keynotes.filter((keynote) => isOnSheet(keynote, sheet)).length;
          return (
            <li key={sheet}>
              <Link
                to={{ ...view, sheet, sort: null, find: "" }}
                aria-current={view.sheet === sheet ? "page" : undefined}
              >
                <span className="sheet-number" aria-hidden="true">
                  {String(place + 1).padStart(2, "0")}
                </span>
                <span className="sheet-name">{text.sheets[sheet]}</span>
                {count > 0 && (
                  <span className="sheet-count">
                    <span aria-hidden="true">{count}</span>
                    <span className="spoken">{text.sheets.findingsHere(count)}</span>
                  </span>
                )}
              </Link>
            </li>
          );
        })}
      </ul>
    </nav>
  );
}
