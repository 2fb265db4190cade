/** The block at the sheet's lower right: which job and design this is, and its headline figures. */

import { changeFrom, countBySeverity, figureOf, headlines, severities } from "../../document/figures.ts";
import { day, type Reader } from "../../document/format.ts";
import type { DesignOption, Finding, JobSummary, Severity } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { ChangeText, FigureInterval, FigureValue } from "../../ui/FigureText.tsx";
import { SeverityMark } from "../../ui/SeverityMark.tsx";

const t = text.titleBlock;

interface Props {
  job: JobSummary;
  sheet: string;
  shown: DesignOption | null;
  pinned: DesignOption | null;
  findings: Finding[];
  /** Those of the pinned design, counted in the same way. */
  pinnedFindings: Finding[];
  /** Said when the figures are of an older revision. */
  staleNote: string | null;
  scale: string | null;
  reader: Reader;
}

function present(counts: Record<Severity, number>): Severity[] {
  return severities.filter((severity) => counts[severity] > 0);
}

function listOf(findings: readonly Finding[]): string {
  const counts = countBySeverity(findings);
  return (
    present(counts)
      .map((severity) => text.severityCount[severity](counts[severity]))
      .join(", ") || t.noFindings
  );
}

export function TitleBlock({
  job,
  sheet,
  shown,
  pinned,
  findings,
  pinnedFindings,
  staleNote,
  scale,
  reader,
}: Props) {
  const compared = pinned !== null && shown !== null && pinned.id !== shown.id ? pinned : null;
  const counts = countBySeverity(findings);
  return (
    <section className={staleNote ? "title-block stale" : "title-block"} aria-label={t.label}>
      {staleNote && <p className="title-block-stale">{staleNote}</p>}
      <dl className="title-figures">
        {headlines.map(({ id, better }) => {
          const figure = shown ? figureOf(shown, id) : null;
          return (
            <div key={id} className="title-cell">
              <dt title={text.figure.meanings[id]}>{text.figure.names[id]}</dt>
              <dd>
                {shown ? (
                  <span className="title-figure">
                    <FigureValue figure={figure} reader={reader} />
                  </span>
                ) : (
                  <span className="quiet">{text.figure.notPlanned}</span>
                )}
                {shown && <FigureInterval figure={figure} reader={reader} />}
                {compared && (
                  <ChangeText change={changeFrom(figureOf(compared, id), figure, better)} reader={reader} />
                )}
              </dd>
            </div>
          );
        })}
      </dl>
      {compared && <p className="title-compared">{t.comparedWith(compared.design.name)}</p>}
      <dl className="title-meta">
        <div className="title-cell wide">
          <dt>{t.findings}</dt>
          <dd className="title-findings">
            {findings.length === 0
              ? t.noFindings
              : present(counts).map((severity) => (
                  <span key={severity} className="title-count">
                    <SeverityMark severity={severity} />
                    {text.severityCount[severity](counts[severity])}
                  </span>
                ))}
            {compared && <span className="figure-note">{t.pinnedFindings(listOf(pinnedFindings))}</span>}
          </dd>
        </div>
        <div className="title-cell wide">
          <dt>{t.design}</dt>
          <dd className="title-name">{shown ? shown.design.name : t.noDesign}</dd>
        </div>
        <div className="title-cell wide title-job">
          <dt>{t.job}</dt>
          <dd className="title-name">{job.name}</dd>
        </div>
      </dl>
      <dl className="title-row">
        <div className="title-cell">
          <dt>{t.sheet}</dt>
          <dd>{sheet}</dd>
        </div>
        {scale !== null && (
          <div className="title-cell">
            <dt>{t.scale}</dt>
            <dd>{scale}</dd>
          </div>
        )}
        <div className="title-cell">
          <dt>{t.revision}</dt>
          <dd>
            {job.revision}, {day(job.changed_at, reader.locale)}
          </dd>
        </div>
      </dl>
    </section>
  );
}
