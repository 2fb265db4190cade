/** The start page: jobs, ways to begin one, and homes to try. */

import { useRef } from "react";
import { jobView } from "../../document/address.ts";
import { openDemo, uploadJobFile } from "../../engine/calls.ts";
import { go } from "../../store/navigation.ts";
import { useDemos, useJobs, useJobsChange } from "../../store/queries.ts";
import { useSettings } from "../../store/settings.ts";
import { text } from "../../text.ts";
import { Choice } from "../../ui/Choice.tsx";
import { Link } from "../../ui/Link.tsx";
import { Failure } from "../../ui/Notice.tsx";
import { DemoList } from "./DemoList.tsx";
import { JobsTable } from "./JobsTable.tsx";
import "./jobs.css";

export function JobsPage({ isArchived }: { isArchived: boolean }) {
  const jobs = useJobs(isArchived);
  const demos = useDemos();
  const demo = useJobsChange((id: string) => openDemo(id, useSettings.getState().who));
  return (
    <main id="sheet" className="jobs-page" tabIndex={-1}>
      <header className="page-head">
        <h1>{text.jobs.title}</h1>
        <p className="lead">{text.jobs.intro}</p>
      </header>
      <Begin />
      <section aria-labelledby="jobs-list">
        <div className="section-head">
          <h2 id="jobs-list">{text.jobs.list}</h2>
          <Choice
            label={text.jobs.show}
            options={[
              { value: "current", label: text.jobs.current },
              { value: "archived", label: text.jobs.archived },
            ]}
            value={isArchived ? "archived" : "current"}
            onChange={(value) => go({ page: "jobs", archived: value === "archived" })}
          />
        </div>
        {jobs.isError && (
          <Failure error={jobs.error} title={text.jobs.failed} onAgain={() => void jobs.refetch()} />
        )}
        {jobs.isPending && <p className="quiet-line">{text.loading}</p>}
        {jobs.data && jobs.data.length === 0 && (
          <p className="quiet-line">{isArchived ? text.jobs.noneArchived : text.jobs.none}</p>
        )}
        {jobs.data && jobs.data.length > 0 && <JobsTable jobs={jobs.data} isArchived={isArchived} />}
      </section>
      <section aria-labelledby="jobs-demos">
        <div className="section-head">
          <h2 id="jobs-demos">{text.jobs.demos}</h2>
          <p className="section-note">{text.jobs.demosNote}</p>
        </div>
        {demos.isError && <Failure error={demos.error} title={text.jobs.failedDemos} />}
        {demo.isError && <Failure error={demo.error} title={text.jobs.failedDemo} />}
        <DemoList
          demos={demos.data ?? []}
          opening={demo.isPending ? demo.variables : null}
          onOpen={(id) => demo.mutate(id, { onSuccess: (job) => go(jobView(job.id)) })}
        />
      </section>
    </main>
  );
}

function Begin() {
  const input = useRef<HTMLInputElement>(null);
  const upload = useJobsChange(uploadJobFile);
  const choose = (files: FileList | null) => {
    const file = files?.[0];
    if (file) upload.mutate(file, { onSuccess: (job) => go(jobView(job.id)) });
  };
  return (
    <section aria-labelledby="jobs-begin">
      <h2 id="jobs-begin" className="spoken">
        {text.jobs.begin}
      </h2>
      <ul className="begin">
        <li>
          <Link to={{ page: "new" }} className="begin-way">
            <span className="begin-name">{text.jobs.newHome}</span>
            <span className="begin-note">{text.jobs.newHomeNote}</span>
          </Link>
        </li>
        <li>
          <Link to={{ page: "import" }} className="begin-way">
            <span className="begin-name">{text.jobs.fromModel}</span>
            <span className="begin-note">{text.jobs.fromModelNote}</span>
          </Link>
        </li>
        <li>
          <button type="button" className="begin-way" onClick={() => input.current?.click()}>
            <span className="begin-name">{text.jobs.fromFile}</span>
            <span className="begin-note">
              {upload.isPending ? text.jobs.reading(upload.variables.name) : text.jobs.fromFileNote}
            </span>
          </button>
          <input
            ref={input}
            type="file"
            className="spoken"
            tabIndex={-1}
            accept=".toml,.json,application/json,application/toml"
            aria-label={text.jobs.chooseFile}
            onChange={(event) => {
              choose(event.target.files);
              event.target.value = "";
            }}
          />
        </li>
      </ul>
      {upload.isError && <Failure error={upload.error} title={text.jobs.failedFile} />}
    </section>
  );
}
