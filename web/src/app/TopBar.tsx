/** The bar over the pages that are not a job. */

import { ThemeChoice } from "../features/settings/ThemeChoice.tsx";
import { text } from "../text.ts";
import { Link } from "../ui/Link.tsx";

export function TopBar({ isStart }: { isStart: boolean }) {
  return (
    <header className="top-bar">
      <span className="top-bar-name">{text.program}</span>
      {!isStart && (
        <nav aria-label={text.job.all}>
          <Link to={{ page: "jobs", archived: false }} className="button quiet">
            {text.job.all}
          </Link>
        </nav>
      )}
      <ThemeChoice />
    </header>
  );
}
