/** The live region: says each announcement once, also when the same words come twice. */

import { useAnnouncement } from "../store/announce.ts";

export function Announcer() {
  const { text, count } = useAnnouncement();
  return (
    <div className="spoken" role="status" aria-live="polite" data-testid="announcer">
      <span key={count}>{text}</span>
    </div>
  );
}
