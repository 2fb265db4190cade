/** The plan that the answers give, drawn as the job will be. */

import { lazy, Suspense, useState } from "react";
import { entranceStorey, storeysFromTop } from "../../document/storeys.ts";
import type { House } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { Choice } from "../../ui/Choice.tsx";
import { Prose } from "../../ui/Prose.tsx";

const PlanSheet = lazy(() => import("../../plan/PlanSheet.tsx").then((m) => ({ default: m.PlanSheet })));

interface Props {
  answer: { house: House; notes: string[] } | null;
  isStale: boolean;
  onAnother(): void;
}

export function Sketch({ answer, isStale, onAnother }: Props) {
  const [chosen, setChosen] = useState<string | null>(null);
  const house = answer?.house ?? null;
  const storey = house?.storeys.some((s) => s.id === chosen)
    ? (chosen as string)
    : house
      ? (entranceStorey(house) ?? "all")
      : "";
  return (
    <section className="sketch" aria-labelledby="sketch-title">
      <div className="sketch-head">
        <h2 id="sketch-title">{text.newHome.sketch}</h2>
        {house && house.storeys.length > 1 && (
          <Choice
            label={text.job.storey}
            options={storeysFromTop(house).map((s) => ({ value: s.id, label: s.name }))}
            value={storey}
            onChange={setChosen}
          />
        )}
        <button type="button" className="button" title={text.newHome.anotherNote} onClick={onAnother}>
          {text.newHome.another}
        </button>
      </div>
      <div className={isStale ? "sketch-plan stale" : "sketch-plan"}>
        {house ? (
          <Suspense fallback={<p className="quiet-line">{text.loading}</p>}>
            <PlanSheet house={house} storey={storey} title={text.newHome.sketch} onStorey={setChosen} />
          </Suspense>
        ) : (
          <p className="quiet-line">{text.newHome.sketchWorking}</p>
        )}
      </div>
      {isStale && house && <p className="sketch-stale">{text.newHome.sketchStale}</p>}
      {answer && answer.notes.length > 0 && (
        <details className="sketch-notes">
          <summary>{text.newHome.notes}</summary>
          <ul>
            {answer.notes.map((note) => (
              <li key={note}>
                <Prose text={note} />
              </li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}
