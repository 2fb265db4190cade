/** The price in the margin: how it is made up, how long it holds, and what work is behind it. */

import type { Reader } from "../../document/format.ts";
import type { CostAnswer } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { BillTable, Validity } from "./Bill.tsx";
import { hours } from "./words.ts";

const t = text.cost;

interface Props {
  answer: CostAnswer;
  /** Said while the answer is of an older revision. */
  staleNote: string | null;
  reader: Reader;
}

export function CostPanel({ answer, staleNote, reader }: Props) {
  const { crew, hours: all, labour } = answer.quote;
  return (
    <section className="details" aria-labelledby="cost-title">
      <h2 id="cost-title" className="margin-title">
        {t.title}
      </h2>
      {staleNote && <p className="stale-line">{staleNote}</p>}
      <BillTable answer={answer} reader={reader} />
      <dl className="lines">
        <Validity answer={answer} reader={reader} />
        <div>
          <dt>{t.work}</dt>
          <dd>
            {labour.length === 0 ? (
              t.nobody
            ) : (
              <>
                <span className="figure">{hours(all.p50, reader)}</span>
                <span className="figure-note interval">
                  {t.between(hours(all.p20, reader), hours(all.p80, reader))}
                </span>
                <span className="figure-note">
                  {crew.days === null ? t.daysUnknown(crew.people) : t.days(crew.people, crew.days)}
                </span>
              </>
            )}
          </dd>
        </div>
      </dl>
    </section>
  );
}
