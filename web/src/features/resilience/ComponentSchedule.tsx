/** What can fail: how long each thing is down, what it takes with it, and a switch to try it. */

import { componentId, componentsOf } from "../../document/staying.ts";
import type { ComponentRow } from "../../engine/types.ts";
import { CauseGlyph } from "../../plan/CauseGlyph.tsx";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { Known, Nothing } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import { listed, type ScheduleProps } from "./schedule.ts";
import {
  kindName,
  minutesRange,
  minutesValue,
  serviceName,
  shapeOf,
  sourceText,
  thingName,
} from "./words.ts";

const t = text.resilience;

export function ComponentSchedule(props: ScheduleProps) {
  const { answer, known, off, isSelected, onThing, onSwitch } = props;
  const { reader, design } = known;
  const { services } = answer.staying;
  const names = (ids: readonly string[]) =>
    ids
      .map((id) => {
        const service = services.find((row) => row.id === id);
        return service ? serviceName(service, known) : partTag(id);
      })
      .join(", ");
  const downNote = (row: ComponentRow) =>
    row.minutes
      ? minutesRange(row.minutes, reader)
      : row.taken_to_hold
        ? null
        : row.missing === null
          ? null
          : t.unknownNeeds([row.missing]);
  return (
    <Listing<ComponentRow>
      {...listed(props)}
      caption={t.partTitles.components}
      className="component-table"
      none={t.components.none}
      first={{ id: "component", name: t.components.component, value: (row) => thingName(row, known) }}
      rows={componentsOf(answer.staying)}
      idOf={componentId}
      nameOf={(row) => (
        <>
          <CauseGlyph shape={shapeOf(row, design)} /> {thingName(row, known)}
        </>
      )}
      underOf={(row) => kindName(row, design)}
      isChosen={isSelected}
      onChoose={onThing}
      columns={[
        { id: "kind", name: t.components.kind, isFileOnly: true, value: (row) => kindName(row, design) },
        {
          id: "switch",
          name: t.components.switch,
          value: ({ id }) => (off.includes(id) ? t.components.isOff : null),
          cell: (row) => (
            <SwitchButton
              name={thingName(row, known)}
              isOff={off.includes(row.id)}
              onSwitch={() => onSwitch(row.id)}
            />
          ),
        },
        {
          id: "minutes",
          name: t.components.minutes,
          note: t.components.minutesUnit,
          unit: "min/yr",
          isNumber: true,
          value: ({ minutes }) => minutes?.value ?? null,
          cell: (row) => (
            <Known
              value={row.minutes && minutesValue(row.minutes, reader)}
              none={row.taken_to_hold ? t.components.holds : text.unknown}
              note={downNote(row)}
            />
          ),
        },
        {
          id: "missing",
          name: t.components.missing,
          isFileOnly: true,
          value: ({ missing }) => missing,
        },
        {
          id: "takes",
          name: t.components.takesDown,
          value: (row) => row.takes_down.length,
          cell: (row) => <Names ids={row.takes_down} names={names} none={t.components.takesNone} />,
        },
        {
          id: "taken",
          name: `${t.components.takesDown}, ${t.partNames.services}`,
          isFileOnly: true,
          value: (row) => names(row.takes_down),
        },
        {
          id: "another",
          name: t.components.byAlternative,
          isExtra: true,
          value: (row) => row.by_alternative.length,
          cell: (row) => <Names ids={row.by_alternative} names={names} none={t.components.takesNone} />,
        },
        {
          id: "source",
          name: t.components.source,
          isExtra: true,
          value: ({ source }) => sourceText(source),
          cell: ({ source }) => <span className="source">{sourceText(source)}</span>,
        },
      ]}
    />
  );
}

export function SwitchButton({ name, isOff, onSwitch }: { name: string; isOff: boolean; onSwitch(): void }) {
  return (
    <button
      type="button"
      className={isOff ? "button switch off" : "button switch"}
      aria-label={isOff ? t.components.onOf(name) : t.components.offOf(name)}
      onClick={onSwitch}
    >
      {isOff ? t.components.on : t.components.off}
    </button>
  );
}

/** A number of services, and their names on pointing and for those who hear it. */
function Names({
  ids,
  names,
  none,
}: {
  ids: readonly string[];
  names(ids: readonly string[]): string;
  none: string;
}) {
  if (ids.length === 0) return <Nothing said={none} />;
  if (ids.length < 3) return <span className="names">{names(ids)}</span>;
  return (
    <details className="names">
      <summary>{t.components.count(ids.length)}</summary>
      {names(ids)}
    </details>
  );
}
