/** What every schedule of this sheet is given. */

import type { Selected } from "../../document/address.ts";
import type { Related } from "../../document/capacity.ts";
import type { Reader } from "../../document/format.ts";
import type { CapacityAnswer } from "../../engine/types.ts";

export interface ScheduleProps {
  answer: CapacityAnswer;
  related: Related;
  reader: Reader;
  /** Selects, or clears the selection where it is selected already. */
  onSelect(selected: Selected): void;
}
