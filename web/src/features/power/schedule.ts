/** What every schedule of this sheet is given. */

import type { ReactNode } from "react";
import type { Selected } from "../../document/address.ts";
import type { Reader } from "../../document/format.ts";
import type { Arrangement } from "../../document/listing.ts";
import type { BatteryRow, CablingAnswer, House } from "../../engine/types.ts";

export interface ScheduleProps {
  answer: CablingAnswer;
  /** Null while they are not known. */
  batteries: readonly BatteryRow[] | null;
  house: House;
  reader: Reader;
  selected: Selected | null;
  look: Arrangement;
  /** Stands before the search: which schedule is shown. */
  lead: ReactNode;
  onLook(look: Arrangement): void;
  onExport(content: string): void;
  /** Selects, or clears the selection where it is selected already. */
  onSelect(selected: Selected): void;
}

export const isPart = (selected: Selected | null, part: string): boolean =>
  selected?.kind === "part" && selected.id === part;
