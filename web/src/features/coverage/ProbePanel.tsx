/** What arrives at one point and why, step by step; the same point as the probe on the plan. */

import type { ReactNode } from "react";
import { length, number, quantity, type Reader, rate, together } from "../../document/format.ts";
import type { House, Probe, Storey } from "../../engine/types.ts";
import { legName } from "../../plan/paths.ts";
import { text } from "../../text.ts";
import { Failure } from "../../ui/Notice.tsx";
import { ProbePaths } from "./ProbePaths.tsx";

const t = text.coverage;

interface Props {
  house: House;
  storey: Storey;
  probe: Probe | null;
  /** The pointer does not move it. */
  isHeld: boolean;
  /** The path that is pointed out on the plan. */
  path: number | null;
  onPath(path: number | null): void;
  error: Error | null;
  reader: Reader;
  onRoom(room: string): void;
  onClear(): void;
}

export function ProbePanel(props: Props) {
  const { house, storey, probe, isHeld, path, error, reader, onPath, onRoom, onClear } = props;
  return (
    <section className="probe-panel" aria-labelledby="probe-title">
      <div className="details-head">
        <h2 id="probe-title" className="margin-title">
          {t.probe}
        </h2>
        {probe && (
          <button type="button" className="button quiet" onClick={onClear}>
            {t.clearProbe}
          </button>
        )}
      </div>
      <select
        className="input probe-room"
        aria-label={t.probeRoom}
        value=""
        onChange={(event) => onRoom(event.target.value)}
      >
        <option value="">{t.probeRoom}</option>
        {storey.rooms.map((room) => (
          <option key={room.id} value={room.id}>
            {room.name}
          </option>
        ))}
      </select>
      {error && <Failure error={error} title={t.failedProbe} />}
      {probe ? (
        <>
          {isHeld && <p className="quiet-line">{t.held}</p>}
          <ProbeFigures probe={probe} house={house} storey={storey} reader={reader}>
            {probe.paths.length > 0 && (
              <ProbePaths
                key={probe.at.join(" ")}
                probe={probe}
                house={house}
                reader={reader}
                path={path}
                onPath={onPath}
              />
            )}
          </ProbeFigures>
        </>
      ) : (
        <p className="quiet-line">{t.probeHint}</p>
      )}
    </section>
  );
}

interface FiguresProps {
  probe: Probe;
  house: House;
  storey: Storey;
  reader: Reader;
  /** What follows the steps. */
  children: ReactNode;
}

function ProbeFigures({ probe, house, storey, reader, children }: FiguresProps) {
  const { value } = probe;
  const room = storey.rooms.find((r) => r.id === probe.room)?.name ?? null;
  const decibels = (amount: number, sign = false) => together(quantity(amount, "dB", reader, sign));
  const lines: [string, string][] = [];
  const add = (label: string, shown: string | null) => {
    if (shown !== null) lines.push([label, shown]);
  };
  add(t.level, value.level_dbm === null ? null : together(quantity(value.level_dbm, "dBm", reader)));
  add(t.spread, probe.spread_db === null ? null : `±${decibels(probe.spread_db)}`);
  add(t.down, value.down_bps === null ? null : rate(value.down_bps, reader));
  add(t.up, value.up_bps === null ? null : rate(value.up_bps, reader));
  add(
    t.probability,
    value.probability === null ? null : `${number(value.probability * 100, reader, 1)}\u00a0%`,
  );
  add(
    t.target,
    probe.target === null
      ? null
      : `${rate(probe.target.down_bps, reader)} / ${rate(probe.target.up_bps, reader)}`,
  );
  add(t.margin, probe.margin_db === null ? null : decibels(probe.margin_db, true));
  add(
    t.from,
    probe.part === null
      ? null
      : [probe.part, probe.band === null ? "" : `${probe.band}\u00a0GHz`].filter((p) => p !== "").join(", "),
  );
  add(t.distance, probe.distance_m === null ? null : length(probe.distance_m, reader));
  const verdict = probe.covered === null ? t.noTargetHere : probe.covered ? t.covers : t.notCovered;
  return (
    <>
      <p className={probe.covered === false ? "probe-verdict not" : "probe-verdict"}>
        {room ? `${room}, ${verdict.toLocaleLowerCase()}` : verdict}
      </p>
      <dl className="lines">
        {lines.map(([label, shown]) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd className="figure">{shown}</dd>
          </div>
        ))}
      </dl>
      {probe.legs.length > 0 && (
        <table className="schedule legs">
          <caption>{t.legs}</caption>
          <thead className="spoken">
            <tr>
              <th scope="col">{t.leg}</th>
              <th scope="col">{t.loss}</th>
            </tr>
          </thead>
          <tbody>
            {probe.legs.map((leg, index) => (
              // biome-ignore lint/suspicious/noArrayIndexKey: steps have their order and no other identity
              <tr key={index}>
                <th scope="row">
                  {legName(leg, probe, house)}
                  {leg.source && <span className="under">{leg.source}</span>}
                </th>
                <td className="right figure">{together(quantity(leg.value, leg.unit, reader))}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {children}
      {probe.missing.length > 0 && (
        <p className="probe-missing">
          {t.missing} {probe.missing.join(", ")}
        </p>
      )}
      {probe.sources.length > 0 && (
        <details className="probe-sources">
          <summary>{t.sources}</summary>
          <ul className="plain-list">
            {probe.sources.map((source) => (
              <li key={source}>{source}</li>
            ))}
          </ul>
        </details>
      )}
    </>
  );
}
