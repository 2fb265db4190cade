/** What every schedule of this sheet is given. */

import type { ReactNode } from "react";
import type { Selected } from "../../document/address.ts";
import type { Reader } from "../../document/format.ts";
import type { Arrangement } from "../../document/listing.ts";
import type { CostAnswer, Design } from "../../engine/types.ts";

export interface ScheduleProps {
  answer: CostAnswer;
  design: Design;
  selected: Selected | null;
  reader: Reader;
  look: Arrangement;
  /** The choice of schedules, which stands in the schedule's bar. */
  lead: ReactNode;
  onLook(look: Arrangement): void;
  onExport(content: string): void;
  /** Selects, or clears the selection where it is selected already. */
  onSelect(selected: Selected): void;
}

/** What a list needs of a schedule's props. */
export function listed({ look, lead, reader, onLook, onExport }: ScheduleProps) {
  return { look, lead, locale: reader.locale, onLook, onExport };
}
