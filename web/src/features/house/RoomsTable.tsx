/** The plan as a table: every room with its figures, chosen and renamed here as on the plan. */

import { useState } from "react";
import { pendingValue } from "../../document/edits.ts";
import { area, number, type Reader, rate } from "../../document/format.ts";
import { storeysFromTop } from "../../document/storeys.ts";
import type { Edit, House, Room } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { focusSoon, InPlace } from "../../ui/InPlace.tsx";

const t = text.house;

interface Props {
  house: House;
  selected: string | null;
  unsent: readonly Edit[];
  reader: Reader;
  onSelect(room: Room, storey: string): void;
  onRename(room: Room, name: string): void;
}

export function nameOf(room: Room, unsent: readonly Edit[]): string {
  const pending = pendingValue(unsent, `building/rooms/${room.id}/name`);
  return typeof pending === "string" ? pending : room.name;
}

export function targetText(room: Room, reader: Reader): string {
  if (!room.target) return t.noTarget;
  return `${rate(room.target.down_bps, reader)} / ${rate(room.target.up_bps, reader)}`;
}

export function RoomsTable({ house, selected, unsent, reader, onSelect, onRename }: Props) {
  const [renaming, setRenaming] = useState<string | null>(null);
  return (
    <table className="schedule rooms-table">
      <caption className="spoken">{t.schedule}</caption>
      <thead>
        <tr>
          <th scope="col">{t.room}</th>
          <th scope="col" className="right">
            {t.area}
          </th>
          <th scope="col" className="wide-only">
            {t.use}
          </th>
          <th scope="col" className="right">
            {t.target}
          </th>
          <th scope="col">
            <span className="spoken">{t.rename}</span>
          </th>
        </tr>
      </thead>
      {storeysFromTop(house).map((storey) => (
        <tbody key={storey.id}>
          <tr className="schedule-group">
            <th scope="rowgroup" colSpan={5}>
              {storey.name}
              <span className="quiet">
                {" "}
                {number(storey.rooms.length, reader)} {storey.rooms.length === 1 ? t.roomOne : t.roomMany}
              </span>
            </th>
          </tr>
          {storey.rooms.map((room) => {
            const name = nameOf(room, unsent);
            return (
              <tr key={room.id} className={room.id === selected ? "selected" : undefined}>
                <th scope="row">
                  {renaming === room.id ? (
                    <InPlace
                      label={t.roomName}
                      value={name}
                      onDone={(next, isByKey) => {
                        setRenaming(null);
                        if (next !== null) onRename(room, next);
                        if (isByKey) focusSoon(`rename-${room.id}`);
                      }}
                    />
                  ) : (
                    <button
                      type="button"
                      className="row-choice"
                      aria-pressed={room.id === selected}
                      onClick={() => onSelect(room, storey.id)}
                    >
                      {name}
                    </button>
                  )}
                </th>
                <td className="right figure-cell">{area(room.area_m2, reader)}</td>
                <td className="wide-only">{room.use}</td>
                <td className="right figure-cell">{targetText(room, reader)}</td>
                <td className="right">
                  <button
                    type="button"
                    id={`rename-${room.id}`}
                    className="button quiet"
                    aria-label={t.renameOf(name)}
                    onClick={() => setRenaming(room.id)}
                  >
                    {t.rename}
                  </button>
                </td>
              </tr>
            );
          })}
        </tbody>
      ))}
    </table>
  );
}
