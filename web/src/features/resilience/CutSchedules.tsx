/** What brings the chosen service down: its smallest cuts, and how much each thing matters. */

import { share } from "../../document/format.ts";
import { cutsInOrder, isHeld } from "../../document/staying.ts";
import type { Importance } from "../../engine/types.ts";
import { CauseGlyph } from "../../plan/CauseGlyph.tsx";
import { text } from "../../text.ts";
import { Known } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import { Causes, causesText } from "./Causes.tsx";
import { listed, type ScheduleProps } from "./schedule.ts";
import { cutTitle, kindName, plainNumber, serviceName, shapeOf, thingName } from "./words.ts";

const t = text.resilience;

export function CutSchedule(props: ScheduleProps) {
  const { known, service, cut, onCut } = props;
  const { reader, design } = known;
  if (!service) return <Empty {...props} />;
  const rows = cutsInOrder(service).flatMap((place) => {
    const own = service.cuts[place];
    return own ? [{ ...own, place, isHeld: isHeld(own, props.answer.staying.components) }] : [];
  });
  return (
    <>
      <Listing
        {...listed(props)}
        caption={t.cutsOf(serviceName(service, known))}
        none={t.cuts.none}
        first={{ id: "cut", name: t.cuts.cut, value: (row) => cutTitle(row, known) }}
        rows={rows}
        idOf={({ place }) => String(place)}
        nameOf={(row) => cutTitle(row, known)}
        isChosen={({ place }) => place === cut}
        onChoose={({ place }) => onCut(place === cut ? null : place)}
        columns={[
          {
            id: "kinds",
            name: t.cuts.kinds,
            value: ({ members }) => causesText(members, design),
            cell: ({ members }) => <Causes members={members} design={design} />,
          },
          {
            id: "size",
            name: t.cuts.size,
            isNumber: true,
            value: ({ members }) => members.length,
            cell: ({ members }) => <Known value={String(members.length)} />,
          },
          {
            id: "minutes",
            name: t.cuts.minutes,
            note: t.cuts.minutesUnit,
            unit: "min/yr",
            isNumber: true,
            value: (row) => (row.isHeld ? null : row.minutes),
            cell: (row) => (
              <Known
                value={
                  row.minutes === null || row.isHeld
                    ? null
                    : plainNumber(row.minutes, digitsOf(props), reader)
                }
                none={row.isHeld ? t.service.held : text.unknown}
              />
            ),
          },
        ]}
      />
      <p className="schedule-note">{t.service.complete(service.cuts_complete_to)}</p>
    </>
  );
}

/** A cut's minutes bear no more digits than the service's do. */
const digitsOf = ({ service }: ScheduleProps): number => service?.minutes?.digits ?? 1;

export function ImportanceSchedule(props: ScheduleProps) {
  const { known, service, isSelected, onThing } = props;
  const { reader, design } = known;
  if (!service) return <Empty {...props} />;
  return (
    <>
      <Listing<Importance>
        {...listed(props)}
        caption={t.importancesOf(serviceName(service, known))}
        none={t.importances.none}
        first={{ id: "thing", name: t.importances.thing, value: (row) => thingName(row, known) }}
        rows={service.importances}
        idOf={(row) => `${row.kind} ${row.id}`}
        nameOf={(row) => (
          <>
            <CauseGlyph shape={shapeOf(row, design)} /> {thingName(row, known)}
          </>
        )}
        isChosen={isSelected}
        onChoose={onThing}
        columns={[
          { id: "kind", name: t.importances.kind, isExtra: true, value: (row) => kindName(row, design) },
          {
            id: "criticality",
            name: t.importances.criticality,
            note: t.importances.criticalityNote,
            unit: "%",
            scale: 100,
            isNumber: true,
            value: ({ criticality }) => criticality,
            cell: ({ criticality }) => (
              <>
                <Known value={share(criticality, reader, 0)} />
                <ShareBar value={criticality} />
              </>
            ),
          },
          {
            id: "birnbaum",
            name: t.importances.birnbaum,
            note: t.importances.birnbaumNote,
            isNumber: true,
            value: ({ birnbaum }) => birnbaum,
            cell: ({ birnbaum }) => <Known value={plainNumber(birnbaum, 2, reader)} />,
          },
          {
            id: "fussell",
            name: t.importances.fussell,
            note: t.importances.fussellNote,
            unit: "%",
            scale: 100,
            isNumber: true,
            isExtra: true,
            value: (row) => row.fussell_vesely,
            cell: (row) => <Known value={share(row.fussell_vesely, reader, 0)} />,
          },
        ]}
      />
      <p className="schedule-note">{t.importances.note}</p>
    </>
  );
}

/** A share as a bar; its figure stands beside it. */
export function ShareBar({ value }: { value: number }) {
  const width = 72;
  return (
    <svg className="share-bar" width={width} height="7" aria-hidden="true">
      <path className="share-rail" d={`M0,6.5H${width}`} />
      <rect className="share-fill" width={Math.max(0, Math.min(1, value)) * width} height="6" />
    </svg>
  );
}

function Empty({ lead }: ScheduleProps) {
  return (
    <>
      <div className="schedule-bar">{lead}</div>
      <p className="quiet-line schedule-empty">{t.headline.noServices}</p>
    </>
  );
}
