// Buttons for what the wheel and the keys do too.

import { upright } from "../geometry/oriented.ts";
import { words } from "./words.ts";

/** What the buttons cover at their largest, touch size [px]. */
export const TOOLS_BOX = upright(79, 33, 146, 54);

export function Tools({
  onLarger,
  onSmaller,
  onFit,
}: {
  onLarger: () => void;
  onSmaller: () => void;
  onFit: () => void;
}) {
  const tools = [
    { name: words.zoomIn, d: "M8,3V13M3,8H13", run: onLarger },
    { name: words.zoomOut, d: "M3,8H13", run: onSmaller },
    { name: words.fit, d: "M2.5,6V2.5H6M10,2.5H13.5V6M13.5,10V13.5H10M6,13.5H2.5V10", run: onFit },
  ];
  return (
    <div className="plan-tools">
      {tools.map(({ name, d, run }) => (
        <button key={name} type="button" aria-label={name} title={name} onClick={run}>
          <svg width="16" height="16" aria-hidden="true">
            <path d={d} />
          </svg>
        </button>
      ))}
    </div>
  );
}
