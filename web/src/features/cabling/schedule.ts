/** What every schedule of this sheet is given. */

import type { ReactNode } from "react";
import type { Selected } from "../../document/address.ts";
import type { Reader } from "../../document/format.ts";
import type { Arrangement } from "../../document/listing.ts";
import type { RelatedWires } from "../../document/wiring.ts";
import type { CablingAnswer, House } from "../../engine/types.ts";

export interface ScheduleProps {
  answer: CablingAnswer;
  house: House;
  reader: Reader;
  selected: Selected | null;
  related: RelatedWires | null;
  look: Arrangement;
  /** Stands before the search: which schedule is shown. */
  lead: ReactNode;
  onLook(look: Arrangement): void;
  onExport(content: string): void;
  /** Selects, or clears the selection where it is selected already. */
  onSelect(selected: Selected): void;
}
