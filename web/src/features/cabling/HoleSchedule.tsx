/** Known row for each hole: where it is, through what, how wide, and whether fire has to be kept out. */

import { smallLength } from "../../document/format.ts";
import { type HoleLine, holeLines } from "../../document/wireRows.ts";
import { text } from "../../text.ts";
import { Known } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import type { ScheduleProps } from "./schedule.ts";
import { labelsText } from "./words.ts";

const t = text.cabling.holesTable;

export function whereText({ rooms, hole }: HoleLine): string {
  const [below, above] = rooms;
  if (hole.kind === "floor" && below !== undefined && above !== undefined) return t.over(below, above);
  return t.between(rooms);
}

export function HoleSchedule(props: ScheduleProps) {
  const { answer, house, reader, related, onSelect } = props;
  return (
    <Listing
      caption={text.cabling.partTitles.holes}
      className="hole-table"
      lead={props.lead}
      first={{ id: "hole", name: t.hole, value: ({ hole }) => hole.id }}
      columns={[
        { id: "where", name: t.where, value: whereText },
        { id: "storey", name: t.storey, value: ({ storey }) => storey, isExtra: true },
        {
          id: "through",
          name: t.through,
          value: ({ hole }) => text.cabling.holeKinds[hole.kind],
          cell: ({ hole }) => (
            <>
              {text.cabling.holeKinds[hole.kind]}
              <span className="figure-note">{hole.element}</span>
            </>
          ),
        },
        { id: "element", name: t.element, isFileOnly: true, value: ({ hole }) => hole.element },
        {
          id: "depth",
          name: t.depth,
          unit: "mm",
          scale: 1000,
          isNumber: true,
          value: ({ hole }) => hole.depth,
          cell: ({ hole }) => <Known value={smallLength(hole.depth, reader)} />,
        },
        {
          id: "diameter",
          name: t.diameter,
          unit: "mm",
          scale: 1000,
          isNumber: true,
          value: ({ hole }) => hole.diameter,
          cell: ({ hole }) => <Known value={smallLength(hole.diameter, reader)} />,
        },
        {
          id: "seal",
          name: t.seal,
          value: ({ hole }) => (hole.fire_seal ? t.sealNeeded : t.sealNone),
          cell: ({ hole }) =>
            hole.fire_seal ? <strong>{t.sealNeeded}</strong> : <span className="quiet">{t.sealNone}</span>,
        },
        { id: "count", name: t.count, isNumber: true, value: ({ hole }) => hole.links.length },
        {
          id: "cables",
          name: t.cables,
          value: ({ hole }) => labelsText(answer, hole.links),
          cell: ({ hole }) => <span className="cell-words">{labelsText(answer, hole.links)}</span>,
        },
        { id: "x", name: "x", unit: "m", isFileOnly: true, value: ({ hole }) => hole.at[0] },
        { id: "y", name: "y", unit: "m", isFileOnly: true, value: ({ hole }) => hole.at[1] },
        { id: "z", name: "z", unit: "m", isFileOnly: true, value: ({ hole }) => hole.at[2] },
      ]}
      rows={holeLines(answer, house)}
      idOf={({ hole }) => hole.id}
      nameOf={({ hole }) => hole.id}
      isChosen={({ hole }) => related?.holes.has(hole.id) ?? false}
      onChoose={({ hole }) => onSelect({ kind: "hole", id: hole.id })}
      none={t.none}
      look={props.look}
      locale={reader.locale}
      onLook={props.onLook}
      onExport={props.onExport}
    />
  );
}
