/** What every schedule of this sheet is given. */

import type { ReactNode } from "react";
import type { Arrangement } from "../../document/listing.ts";
import type { Member, ServiceRow, StayingAnswer, WhatIfAnswer } from "../../engine/types.ts";
import type { Known } from "./words.ts";

export interface ScheduleProps {
  answer: StayingAnswer;
  known: Known;
  /** The service that is looked at, and which of its cuts the plan shows. */
  service: ServiceRow | null;
  cut: number | null;
  off: readonly string[];
  whatIf: WhatIfAnswer | null;
  /** What is selected, as a component. */
  isSelected(thing: Pick<Member, "id" | "kind">): boolean;
  look: Arrangement;
  /** The choice of schedules, which stands in the schedule's bar. */
  lead: ReactNode;
  onLook(look: Arrangement): void;
  onExport(content: string): void;
  onService(service: ServiceRow): void;
  onCut(cut: number | null): void;
  onThing(thing: Pick<Member, "id" | "kind">): void;
  onSwitch(id: string): void;
}

/** What a list needs of a schedule's props. */
export function listed({ look, lead, known, onLook, onExport }: ScheduleProps) {
  return { look, lead, locale: known.reader.locale, onLook, onExport };
}
