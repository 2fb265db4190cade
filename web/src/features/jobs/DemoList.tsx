/** Homes to try, each with what makes it different. */

import { area, country, type Reader } from "../../document/format.ts";
import { unitsOf } from "../../document/newHome.ts";
import type { Demo } from "../../engine/types.ts";
import { text } from "../../text.ts";

interface Props {
  demos: Demo[];
  opening: string | null | undefined;
  onOpen(id: string): void;
}

function readerOf(demo: Demo): Reader {
  return { locale: navigator.language, units: unitsOf(demo.country) };
}

export function DemoList({ demos, opening, onOpen }: Props) {
  return (
    <ul className="demos">
      {demos.map((demo) => (
        <li key={demo.id} className="demo">
          <h3>{demo.name}</h3>
          <p className="demo-summary">{demo.summary}</p>
          <p className="demo-figures">
            {demo.floor_area_m2 !== null && `${area(demo.floor_area_m2, readerOf(demo), 0)}, `}
            {text.jobs.summary(demo.storeys, demo.rooms, null)}, {country(demo.country, navigator.language)}
          </p>
          <button
            type="button"
            className="button"
            aria-label={text.jobs.openDemo(demo.name)}
            disabled={opening === demo.id}
            onClick={() => onOpen(demo.id)}
          >
            {text.jobs.openCopy}
          </button>
        </li>
      ))}
    </ul>
  );
}
