import type { PlanSheetProps } from "./PlanSheet.tsx";
export function AxonometricSheet(_: PlanSheetProps) {
  return null;
}
