/** The map as a table: how much of each room is covered, and between what the map lies there. */

import { length, number, quantity, type Reader, together } from "../../document/format.ts";
import { sharesByRoom } from "../../document/rooms.ts";
import type { CoverageMap, Room, Storey } from "../../engine/types.ts";
import { text } from "../../text.ts";

const t = text.coverage;

interface Props {
  map: CoverageMap;
  storey: Storey;
  selected: string | null;
  reader: Reader;
  onSelect(room: Room): void;
}

export function CoverageTable({ map, storey, selected, reader, onSelect }: Props) {
  const show = (value: number) => together(quantity(value, map.unit, reader));
  return (
    <>
      <table className="schedule">
        <caption className="spoken">{`${t.schedule}, ${storey.name}, ${t.bandNames[map.band]}`}</caption>
        <thead>
          <tr>
            <th scope="col">{t.room}</th>
            <th scope="col" className="right">
              {t.covered}
            </th>
            <th scope="col" className="right">
              {t.range}
            </th>
          </tr>
        </thead>
        <tbody>
          {sharesByRoom(map, storey).map(({ room, covered, lowest, highest }) => (
            <tr key={room.id} className={room.id === selected ? "selected" : undefined}>
              <th scope="row">
                <button
                  type="button"
                  className="row-choice"
                  aria-pressed={room.id === selected}
                  onClick={() => onSelect(room)}
                >
                  {room.name}
                </button>
              </th>
              <td className="right figure-cell">
                {covered === null ? t.noTargetRoom : `${number(covered * 100, reader, 1)}\u00a0%`}
              </td>
              <td className="right figure-cell">
                {lowest === null || highest === null
                  ? t.nothingArrives
                  : text.figure.between(quantity(lowest, map.unit, reader).number, show(highest))}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="schedule-note">{t.cells(length(map.cell, reader))}</p>
    </>
  );
}
