/** Findings as numbered notes: what was measured, the limit and its source, and what would mend it. */

import { useEffect, useRef } from "react";
import { quantity, type Reader, together } from "../../document/format.ts";
import type { Keynote } from "../../document/keynotes.ts";
import type { Remedy } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { Prose } from "../../ui/Prose.tsx";
import { SeverityMark, SeverityWord } from "../../ui/SeverityMark.tsx";

const t = text.keynotes;

interface Props {
  keynotes: Keynote[];
  /** Keynotes of the design that belong on other sheets. */
  elsewhere: number;
  isPlanned: boolean;
  selected: string | null;
  reader: Reader;
  onSelect(keynote: Keynote): void;
  onApply(remedy: Remedy): void;
}

export function Keynotes({ keynotes, elsewhere, isPlanned, selected, reader, onSelect, onApply }: Props) {
  return (
    <section className="keynotes" aria-labelledby="keynotes-title">
      <h2 id="keynotes-title" className="margin-title">
        {t.title} <span className="quiet">{t.onSheet}</span>
      </h2>
      {keynotes.length === 0 && <p className="quiet-line">{isPlanned ? t.none : t.noneYet}</p>}
      <ol>
        {keynotes.map((keynote) => (
          <Note
            key={keynote.id}
            keynote={keynote}
            isSelected={keynote.id === selected}
            reader={reader}
            onSelect={() => onSelect(keynote)}
            onApply={onApply}
          />
        ))}
      </ol>
      {elsewhere > 0 && <p className="quiet-line keynotes-elsewhere">{t.elsewhere(elsewhere)}</p>}
    </section>
  );
}

interface NoteProps {
  keynote: Keynote;
  isSelected: boolean;
  reader: Reader;
  onSelect(): void;
  onApply(remedy: Remedy): void;
}

function Note({ keynote, isSelected, reader, onSelect, onApply }: NoteProps) {
  const { finding, n, severity } = keynote;
  const element = useRef<HTMLLIElement>(null);
  useEffect(() => {
    if (isSelected) element.current?.scrollIntoView({ block: "nearest" });
  }, [isSelected]);
  const measure = (value: { value: number; unit: string } | null) =>
    value === null ? null : together(quantity(value.value, value.unit, reader));
  const measured = measure(finding.measured);
  const limit = measure(finding.limit);
  return (
    <li ref={element} className={isSelected ? "keynote selected" : "keynote"} value={n}>
      {keynote.at ? (
        <button
          type="button"
          className="keynote-mark"
          aria-label={t.show(n)}
          aria-pressed={isSelected}
          onClick={onSelect}
        >
          <SeverityMark severity={severity} n={n} />
        </button>
      ) : (
        <span className="keynote-mark">
          <span className="spoken">{n}</span>
          <SeverityMark severity={severity} n={n} />
        </span>
      )}
      <div className="keynote-body">
        <p className="keynote-message">
          <SeverityWord severity={severity} /> <Prose text={finding.message} />
        </p>
        {(measured !== null || limit !== null) && (
          <dl className="keynote-measures">
            {measured !== null && (
              <div>
                <dt>{t.measured}</dt>
                <dd>{measured}</dd>
              </div>
            )}
            {limit !== null && (
              <div>
                <dt>{t.limit}</dt>
                <dd>{limit}</dd>
              </div>
            )}
          </dl>
        )}
        <p className="keynote-source">
          {t.source} <Prose text={finding.source.cite} />
          {finding.source.from_memory ? `, ${t.fromMemory}` : ""}
        </p>
        {(finding.remedies ?? []).length > 0 && (
          <ul className="remedies" aria-label={t.remedies}>
            {(finding.remedies ?? []).map((remedy) => (
              <li key={remedy.text}>
                {remedy.edits && remedy.edits.length > 0 ? (
                  <button type="button" className="button remedy" onClick={() => onApply(remedy)}>
                    <span>
                      <Prose text={capital(remedy.text)} />
                    </span>
                  </button>
                ) : (
                  <Prose text={capital(remedy.text)} />
                )}
              </li>
            ))}
          </ul>
        )}
      </div>
    </li>
  );
}

function capital(sentence: string): string {
  return sentence.charAt(0).toLocaleUpperCase() + sentence.slice(1);
}
