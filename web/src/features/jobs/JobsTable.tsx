/** The jobs as a schedule, with what can be done with each. */

import { jobView } from "../../document/address.ts";
import { area, country, moment, number, type Reader } from "../../document/format.ts";
import { archiveJob, duplicateJob } from "../../engine/calls.ts";
import type { JobSummary } from "../../engine/types.ts";
import { announce } from "../../store/announce.ts";
import { useJobsChange } from "../../store/queries.ts";
import { useSettings } from "../../store/settings.ts";
import { text } from "../../text.ts";
import { Link } from "../../ui/Link.tsx";
import { Failure } from "../../ui/Notice.tsx";
import { useMedia } from "../../ui/useMedia.ts";

interface Props {
  jobs: JobSummary[];
  isArchived: boolean;
}

function readerOf(job: JobSummary): Reader {
  return { locale: navigator.language, units: job.units };
}

function areaOf(job: JobSummary): string {
  return job.floor_area_m2 === null ? text.unknown : area(job.floor_area_m2, readerOf(job), 0);
}

export function JobsTable({ jobs, isArchived }: Props) {
  const duplicate = useJobsChange((job: JobSummary) => duplicateJob(job.id, useSettings.getState().who));
  const archive = useJobsChange((job: JobSummary) => archiveJob(job.id, !job.archived));
  const isNarrow = useMedia("(max-width: 900px)");
  const actions = (job: JobSummary) => (
    <span className="row-actions">
      <button
        type="button"
        className="button quiet"
        aria-label={text.jobs.duplicateOf(job.name)}
        onClick={() => duplicate.mutate(job, { onSuccess: () => announce(text.jobs.duplicated(job.name)) })}
      >
        {text.jobs.duplicate}
      </button>
      <button
        type="button"
        className="button quiet"
        aria-label={job.archived ? text.jobs.unarchiveOf(job.name) : text.jobs.archiveOf(job.name)}
        onClick={() =>
          archive.mutate(job, {
            onSuccess: () =>
              announce(job.archived ? text.jobs.wasUnarchived(job.name) : text.jobs.wasArchived(job.name)),
          })
        }
      >
        {job.archived ? text.jobs.unarchive : text.jobs.archive}
      </button>
    </span>
  );
  const failed = duplicate.error ?? archive.error;
  return (
    <>
      {failed !== null && <Failure error={failed} title={text.jobs.failedChange} />}
      {isNarrow ? (
        <ul className="job-cards" aria-label={isArchived ? text.jobs.archived : text.jobs.current}>
          {jobs.map((job) => (
            <li key={job.id}>
              <Link to={jobView(job.id)} className="job-name">
                {job.name}
              </Link>
              <p>
                {areaOf(job)}, {text.jobs.summary(job.storeys, job.rooms, job.people)}
              </p>
              <p>
                {moment(job.changed_at, navigator.language)}, {text.jobs.revision(job.revision)}
              </p>
              {actions(job)}
            </li>
          ))}
        </ul>
      ) : (
        <table className="schedule jobs-table">
          <thead>
            <tr>
              <th scope="col">{text.jobs.name}</th>
              <th scope="col">{text.jobs.country}</th>
              <th scope="col" className="right">
                {text.jobs.area}
              </th>
              <th scope="col" className="right">
                {text.jobs.storeys}
              </th>
              <th scope="col" className="right">
                {text.jobs.rooms}
              </th>
              <th scope="col" className="right">
                {text.jobs.people}
              </th>
              <th scope="col" className="right">
                {text.jobs.designs}
              </th>
              <th scope="col">{text.jobs.changed}</th>
              <th scope="col">
                <span className="spoken">{text.jobs.actions}</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {jobs.map((job) => (
              <tr key={job.id}>
                <th scope="row">
                  <Link to={jobView(job.id)} className="job-name">
                    {job.name}
                  </Link>
                </th>
                <td>{job.country === null ? text.unknown : country(job.country, navigator.language)}</td>
                <td className="right figure-cell">{areaOf(job)}</td>
                {[job.storeys, job.rooms, job.people, job.designs].map((count, column) => (
                  // biome-ignore lint/suspicious/noArrayIndexKey: columns have fixed places
                  <td key={column} className="right figure-cell">
                    {count === null ? text.unknown : number(count, readerOf(job))}
                  </td>
                ))}
                <td>
                  {moment(job.changed_at, navigator.language)}
                  <span className="under">{text.jobs.revision(job.revision)}</span>
                </td>
                <td>{actions(job)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </>
  );
}
