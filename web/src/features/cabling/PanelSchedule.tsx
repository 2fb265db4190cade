/** Panels and racks: each drawn from the front, and what stands in them as a schedule. */

import { quantity, together } from "../../document/format.ts";
import { placeLines } from "../../document/wireRows.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { Known, Nothing } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import { Elevation } from "./Elevation.tsx";
import type { ScheduleProps } from "./schedule.ts";

const t = text.cabling.panel;

export function PanelSchedule(props: ScheduleProps) {
  const { answer, house, reader, selected, onSelect } = props;
  const roomName = (id: string): string =>
    house.storeys.flatMap(({ rooms }) => rooms).find((room) => room.id === id)?.name ?? id;
  const chosen = selected?.kind === "part" ? selected.id : null;
  return (
    <div className="panel-sheet">
      <div className="panel-list">
        <Listing
          caption={text.cabling.partTitles.panel}
          lead={props.lead}
          first={{ id: "part", name: t.part, value: ({ place }) => place.part }}
          columns={[
            { id: "room", name: t.room, value: ({ panel }) => roomName(panel.room) },
            {
              id: "unit",
              name: t.unit,
              isNumber: true,
              value: ({ place }) => (place.height > 0 ? place.unit : null),
              cell: ({ place }) =>
                place.height > 0 ? (
                  <Known value={String(place.unit)} />
                ) : (
                  <span className="quiet">{t.shelf}</span>
                ),
            },
            {
              id: "height",
              name: t.height,
              unit: "U",
              isNumber: true,
              value: ({ place }) => place.height,
              cell: ({ place }) =>
                place.height > 0 ? (
                  <Known value={t.units(String(place.height))} />
                ) : (
                  <Nothing said={t.shelf} />
                ),
            },
            {
              id: "heat",
              name: t.heat,
              unit: "W",
              isNumber: true,
              value: ({ place }) => place.heat_w,
              cell: ({ place }) => <Known value={together(quantity(place.heat_w, "W", reader))} />,
            },
          ]}
          rows={placeLines(answer)}
          idOf={({ panel, place }) => `${panel.room} ${place.part}`}
          nameOf={({ place }) => partTag(place.part)}
          isChosen={({ place }) => place.part === chosen}
          onChoose={({ place }) => onSelect({ kind: "part", id: place.part })}
          none={t.none}
          look={props.look}
          locale={reader.locale}
          onLook={props.onLook}
          onExport={props.onExport}
        />
      </div>
      {answer.wires.panels.map((panel) => (
        <Elevation
          key={panel.room}
          panel={panel}
          room={roomName(panel.room)}
          chosen={chosen}
          reader={reader}
          onChoose={(id) => onSelect({ kind: "part", id })}
        />
      ))}
    </div>
  );
}
