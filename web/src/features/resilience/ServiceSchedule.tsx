/** Services as rows, those that must stay up first: how long each is down, how sure that is, and what it hangs on. */

import { share } from "../../document/format.ts";
import { protectedFirst, serviceId } from "../../document/staying.ts";
import type { ServiceRow } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { Known, Nothing } from "../../ui/Cells.tsx";
import { Listing, type ListingColumn } from "../../ui/Listing.tsx";
import { Causes, CausesKey, causesText } from "./Causes.tsx";
import { listed, type ScheduleProps } from "./schedule.ts";
import { minutesRange, minutesValue, serviceName, upShare } from "./words.ts";

const t = text.resilience;

export function ServiceSchedule(props: ScheduleProps) {
  const { answer, known, service, whatIf, off, onService } = props;
  const { reader, design } = known;
  const { services } = answer.staying;
  const fared = (row: ServiceRow) =>
    whatIf?.what_if.services.find(({ id, kind }) => id === row.id && kind === row.kind) ?? null;
  const state: ListingColumn<ServiceRow> = {
    id: "state",
    name: t.services.state,
    value: (row) => {
      const found = fared(row);
      return found && t.states[found.state];
    },
    cell: (row) => {
      const found = fared(row);
      return found ? (
        <span className={`state state-${found.state}`}>{t.states[found.state]}</span>
      ) : (
        <span className="quiet">{t.whatIf.working}</span>
      );
    },
  };
  return (
    <>
      <Listing<ServiceRow>
        {...listed(props)}
        caption={t.partTitles.services}
        className="service-table"
        none={t.services.none}
        first={{ id: "service", name: t.services.service, value: (row) => serviceName(row, known) }}
        rows={protectedFirst(services)}
        idOf={serviceId}
        nameOf={(row) => serviceName(row, known)}
        underOf={(row) =>
          row.must_stay_up ? (
            <>
              <b className="must">{t.mustStayUp}</b>, {t.serviceKinds[row.kind]}
            </>
          ) : (
            t.serviceKinds[row.kind]
          )
        }
        isChosen={(row) => service !== null && serviceId(row) === serviceId(service)}
        onChoose={onService}
        columns={[
          { id: "kind", name: t.services.kind, isFileOnly: true, value: ({ kind }) => t.serviceKinds[kind] },
          {
            id: "must",
            name: t.services.must,
            isFileOnly: true,
            value: (row) => (row.must_stay_up ? t.services.yes : t.services.no),
          },
          {
            id: "minutes",
            name: t.services.minutes,
            note: t.services.minutesUnit,
            unit: "min/yr",
            isNumber: true,
            value: ({ minutes }) => minutes?.value ?? null,
            cell: ({ minutes, missing }) => (
              <Known
                value={minutes && minutesValue(minutes, reader)}
                note={minutes ? minutesRange(minutes, reader) : t.unknownNeeds(missing)}
              />
            ),
          },
          {
            id: "low",
            name: t.services.low,
            unit: "min/yr",
            isFileOnly: true,
            value: ({ minutes }) => minutes?.low ?? null,
          },
          {
            id: "high",
            name: t.services.high,
            unit: "min/yr",
            isFileOnly: true,
            value: ({ minutes }) => minutes?.high ?? null,
          },
          {
            id: "availability",
            name: t.services.availability,
            note: t.services.availabilityUnit,
            unit: "%",
            scale: 100,
            isNumber: true,
            isExtra: true,
            value: ({ availability }) => availability?.value ?? null,
            cell: ({ minutes }) => <Known value={minutes && upShare(minutes, reader)} />,
          },
          {
            id: "causes",
            name: t.services.causes,
            value: (row) => causesText(row.single_points, design),
            cell: (row) => <Causes members={row.single_points} design={design} />,
          },
          {
            id: "ridden",
            name: t.services.ridden,
            unit: "%",
            scale: 100,
            isNumber: true,
            value: ({ mains }) => mains.ridden,
            cell: ({ mains }) =>
              mains.outlasts === null && mains.ridden === null ? (
                <Nothing said={t.services.riddenNone} />
              ) : (
                <Known value={mains.ridden === null ? null : share(mains.ridden, reader, 0)} />
              ),
          },
          {
            id: "missing",
            name: t.services.missing,
            isFileOnly: true,
            value: ({ missing }) => (missing.length > 0 ? missing.join("; ") : null),
          },
          ...(off.length > 0 ? [state] : []),
        ]}
      />
      <CausesKey members={services.flatMap((row) => row.single_points)} design={design} />
      <p className="schedule-note">{t.services.note}</p>
    </>
  );
}
