/** A job from an architect's model: files in, then a report of what was understood, guessed and left out. */

import { useState } from "react";
import { jobView } from "../../document/address.ts";
import { importModel, ServerProblem } from "../../engine/calls.ts";
import type { ImportReport, JobSummary } from "../../engine/types.ts";
import { announce } from "../../store/announce.ts";
import { useCountries, useJobsChange } from "../../store/queries.ts";
import { useSettings } from "../../store/settings.ts";
import { text } from "../../text.ts";
import { countryOfReader } from "../../ui/country.ts";
import { Field } from "../../ui/Field.tsx";
import { Link } from "../../ui/Link.tsx";
import { Failure } from "../../ui/Notice.tsx";
import { Prose } from "../../ui/Prose.tsx";
import "./importing.css";

const t = text.importing;

export function ImportPage() {
  const countries = useCountries();
  const [architecture, setArchitecture] = useState<File | null>(null);
  const [electrical, setElectrical] = useState<File | null>(null);
  const [dwelling, setDwelling] = useState("");
  const [country, setCountry] = useState(countryOfReader);
  const [dwellings, setDwellings] = useState<string[]>([]);
  const [needsFile, setNeedsFile] = useState(false);
  const read = useJobsChange(importModel);

  if (read.data) return <Report job={read.data.job} report={read.data.report} onAnother={read.reset} />;

  const submit = () => {
    setNeedsFile(!architecture);
    if (!architecture) return;
    const who = useSettings.getState().who;
    read.mutate(
      { architecture, electrical, dwelling: dwelling || null, country, who },
      {
        onSuccess: ({ job }) => announce(t.report(job.name)),
        onError: (error) => {
          if (error instanceof ServerProblem && error.problem.dwellings)
            setDwellings(error.problem.dwellings);
        },
      },
    );
  };
  const isListed = countries.data?.some((c) => c.code === country) ?? false;
  const asksDwelling = read.error instanceof ServerProblem && read.error.problem.dwellings !== undefined;
  return (
    <main id="sheet" className="form-page" tabIndex={-1}>
      <header className="page-head">
        <h1>{t.title}</h1>
        <p className="lead">{t.intro}</p>
      </header>
      <form
        className="import-form"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          submit();
        }}
      >
        <Field
          label={t.architecture}
          hint={t.architectureHint}
          problems={needsFile ? [{ path: "architecture", message: t.needFile, hint: null }] : []}
        >
          {(wiring) => (
            <input
              {...wiring}
              type="file"
              accept=".ifc,.ifczip,.ifcxml"
              onChange={(event) => {
                setArchitecture(event.target.files?.[0] ?? null);
                setDwellings([]);
                setDwelling("");
                setNeedsFile(false);
                read.reset();
              }}
            />
          )}
        </Field>
        <Field label={t.electrical} hint={t.electricalHint}>
          {(wiring) => (
            <input
              {...wiring}
              type="file"
              accept=".ifc,.ifczip,.ifcxml"
              onChange={(event) => setElectrical(event.target.files?.[0] ?? null)}
            />
          )}
        </Field>
        <Field label={t.country} hint={t.countryHint}>
          {(wiring) => (
            <select {...wiring} value={country} onChange={(event) => setCountry(event.target.value)}>
              {!isListed && <option value={country}>{country}</option>}
              {(countries.data ?? []).map((c) => (
                <option key={c.code} value={c.code}>
                  {c.name}
                </option>
              ))}
            </select>
          )}
        </Field>
        {dwellings.length > 0 && (
          <Field label={t.dwelling} hint={t.dwellingHint}>
            {(wiring) => (
              <select {...wiring} value={dwelling} onChange={(event) => setDwelling(event.target.value)}>
                <option value="">{t.chooseDwelling}</option>
                {dwellings.map((name) => (
                  <option key={name} value={name}>
                    {name}
                  </option>
                ))}
              </select>
            )}
          </Field>
        )}
        {read.isError && !asksDwelling && <Failure error={read.error} title={t.failed} />}
        <div className="import-actions">
          <button
            type="submit"
            className="button main"
            disabled={read.isPending || (dwellings.length > 0 && dwelling === "")}
          >
            {read.isPending ? t.reading : t.read}
          </button>
          {read.isPending && <progress aria-label={t.reading} />}
        </div>
      </form>
    </main>
  );
}

interface ReportProps {
  job: JobSummary;
  report: ImportReport;
  onAnother(): void;
}

function Report({ job, report, onAnother }: ReportProps) {
  return (
    <main id="sheet" className="form-page" tabIndex={-1}>
      <header className="page-head">
        <h1>{t.report(job.name)}</h1>
      </header>
      <div className="import-actions">
        <Link to={jobView(job.id)} className="button main">
          {t.open}
        </Link>
        <button type="button" className="button" onClick={onAnother}>
          {t.another}
        </button>
      </div>
      <div className="report">
        <ReportList title={t.understood} lines={report.understood} />
        <ReportList title={t.guessed} lines={report.guessed} />
        <ReportList title={t.assumed} lines={report.assumed ?? []} />
        <ReportList title={t.leftOut} lines={report.left_out} />
      </div>
    </main>
  );
}

function ReportList({ title, lines }: { title: string; lines: string[] }) {
  return (
    <section aria-label={title} className="report-list">
      <h2>{title}</h2>
      <p className="section-note">{t.count(lines.length)}</p>
      {lines.length === 0 ? (
        <p className="quiet-line">{t.nothing}</p>
      ) : (
        <ul>
          {lines.map((line) => (
            <li key={line}>
              <Prose text={line} />
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
