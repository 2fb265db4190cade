// The plan in words: the same objects as the drawing, in a table for each kind. Selection is shared with the drawing.

import { type ReactNode, useId } from "react";
import { areaText, fixed, lengthText } from "../geometry/format.ts";
import type {
  CoverageMap,
  Design,
  DrawnWires,
  House,
  Keynote,
  Outlet,
  Selection,
  Storey,
  Traffic,
} from "./contract.ts";
import { linksOn } from "./links.ts";
import { roomIdsOf, roomsBeside } from "./objects.ts";
import { partKind, partTag } from "./parts.ts";
import { partsOn } from "./spots.ts";
import { routedLinks, wiresOn } from "./wires.ts";
import { openingName, outletName, partName, severityName, wireWords, words } from "./words.ts";
import "./plan.css";

export interface PlanTableProps {
  house: House;
  /** Id of the storey, or `all`. */
  storey: string | "all";
  design?: Design | undefined;
  map?: CoverageMap | undefined;
  traffic?: Traffic | undefined;
  wires?: DrawnWires | undefined;
  keynotes?: readonly Keynote[] | undefined;
  selected?: Selection | null | undefined;
  onSelect?: ((selection: Selection | null) => void) | undefined;
}

export function PlanTable(props: PlanTableProps) {
  const { house, storey } = props;
  const shown =
    storey === "all"
      ? [...house.storeys].sort((a, b) => a.floor_z - b.floor_z)
      : house.storeys.filter((s) => s.id === storey);
  return (
    <div className="plan-table">
      {shown.map((s) => (
        <StoreyTables key={s.id} {...props} data={s} />
      ))}
    </div>
  );
}

function StoreyTables({
  house,
  data,
  design,
  map,
  traffic,
  wires,
  keynotes = [],
  selected = null,
  onSelect,
}: PlanTableProps & { data: Storey }) {
  const { units } = house;
  const heading = useId();
  const chosen = { selected, onSelect };
  const parts = partsOn(data, design, roomIdsOf(house));
  const devices = (traffic?.devices ?? []).filter(({ room }) => data.rooms.some((r) => r.id === room));
  const notes = keynotes.filter((keynote) => keynote.storey === data.id);
  const links = linksOn(design, parts, routedLinks(wires));
  const wired = wiresOn(house, data, wires);
  const cables = (wires?.cables ?? []).filter(({ id }) => wired.runs.some((run) => run.cables.includes(id)));
  const cells = map && map.storey === data.id ? cellsByRoom(map, data.rooms.length) : null;
  return (
    <section aria-labelledby={heading}>
      <h3 id={heading}>{data.name}</h3>
      <Table
        caption="Rooms"
        columns={[
          "Room",
          "Area",
          "Doors to",
          "Windows",
          "Outlets",
          ...(cells ? [`Least, ${map?.unit ?? ""}`, `Most, ${map?.unit ?? ""}`, "Below target"] : []),
        ]}
        numeric={[1, 3, 5, 6, 7]}
        rows={data.rooms.map((room, index) => {
          const openings = data.openings.map((opening) => ({ opening, rooms: roomsBeside(opening, data) }));
          const own = openings.filter(({ rooms }) => rooms.some((r) => r.id === room.id));
          const doors = own
            .filter(({ opening }) => opening.kind !== "window")
            .map(({ rooms }) => rooms.find((r) => r.id !== room.id)?.name ?? "outside");
          const cell = cells?.[index];
          return {
            selection: { kind: "room" as const, id: room.id },
            cells: [
              room.name,
              areaText(room.area_m2, units),
              [...new Set(doors)].join(", ") || "none",
              String(own.filter(({ opening }) => opening.kind === "window").length),
              outletCounts(data.outlets.filter((outlet) => outlet.room === room.id)),
              ...(cells ? coverageCells(cell) : []),
            ],
          };
        })}
        {...chosen}
      />
      {parts.length > 0 && (
        <Table
          caption="Parts"
          columns={["Part", "What it is", "Room", "Mounting", "Height"]}
          numeric={[4]}
          rows={parts.map((part) => ({
            selection: { kind: "part" as const, id: part.id },
            cells: [
              partTag(part.id),
              `${partName[partKind(part.part)]}${part.kept ? ", already there" : ""}`,
              data.rooms.find((room) => room.id === part.room)?.name ?? part.room,
              part.mounting,
              lengthText(part.at[2] - data.floor_z, units),
            ],
          }))}
          {...chosen}
        />
      )}
      {devices.length > 0 && (
        <Table
          caption="Devices"
          columns={[
            "Device",
            "What it is",
            "Room",
            ...(devices.some(({ says }) => says !== undefined) ? ["Stays up"] : ["Served by", "Airtime"]),
          ]}
          numeric={[4]}
          rows={devices.map(({ id, kind, room, served, airtime, says }) => ({
            selection: { kind: "device" as const, id },
            cells: [
              id,
              kind,
              data.rooms.find((r) => r.id === room)?.name ?? room,
              ...(says === undefined ? [served, airtime] : [says]),
            ],
          }))}
          {...chosen}
        />
      )}
      {cables.length > 0 && (
        <Table
          caption="Cables"
          columns={["Cable", "Which way it runs"]}
          numeric={[]}
          rows={cables.map(({ id, lettering, text }) => ({
            selection: { kind: "cable" as const, id },
            cells: [lettering[0] ?? id, text],
          }))}
          {...chosen}
        />
      )}
      {wired.holes.length > 0 && (
        <Table
          caption="Holes"
          columns={["Hole", "What it goes through", "Seal"]}
          numeric={[]}
          rows={wired.holes.map(({ id, text, isSealed }) => ({
            selection: { kind: "hole" as const, id },
            cells: [id, text, isSealed ? wireWords.sealed : "none"],
          }))}
          {...chosen}
        />
      )}
      {links.links.length + links.numNotDrawn > 0 && (
        <p>
          {[words.lines(links.links.length), links.numNotDrawn > 0 ? words.notDrawn(links.numNotDrawn) : ""]
            .filter((text) => text !== "")
            .join("; ")}
        </p>
      )}
      {notes.length > 0 && (
        <Table
          caption="Keynotes"
          columns={["Number", "Severity", "Room"]}
          numeric={[0]}
          rows={notes.map((keynote) => ({
            selection: { kind: "keynote" as const, id: keynote.id },
            cells: [String(keynote.n), severityName[keynote.severity], roomAt(data, keynote.at)],
          }))}
          {...chosen}
        />
      )}
      <Table
        caption="Doors, windows and openings"
        columns={["Opening", "Between", "Width", "Sill", "Head"]}
        numeric={[2, 3, 4]}
        rows={data.openings.map((opening) => {
          const rooms = roomsBeside(opening, data).map((room) => room.name);
          return {
            selection: { kind: "opening" as const, id: opening.id },
            cells: [
              `${openingName[opening.kind]} ${opening.id}`,
              rooms.length > 1 ? rooms.join(" and ") : `${rooms[0] ?? "storey"} and outside`,
              lengthText(Math.hypot(opening.to[0] - opening.from[0], opening.to[1] - opening.from[1]), units),
              lengthText(opening.sill_m, units),
              lengthText(opening.head_m, units),
            ],
          };
        })}
        {...chosen}
      />
      {data.outlets.length > 0 && (
        <Table
          caption="Outlets"
          columns={["Outlet", "Kind", "Room", "Height"]}
          numeric={[3]}
          rows={data.outlets.map((outlet) => ({
            selection: { kind: "outlet" as const, id: outlet.id },
            cells: [
              outlet.id,
              outletName[outlet.kind],
              data.rooms.find((room) => room.id === outlet.room)?.name ?? "none",
              lengthText(outlet.height_m, units),
            ],
          }))}
          {...chosen}
        />
      )}
    </section>
  );
}

interface TableProps {
  caption: string;
  columns: readonly string[];
  numeric: readonly number[];
  rows: readonly { selection: Selection; cells: readonly string[] }[];
  selected: Selection | null;
  onSelect: PlanTableProps["onSelect"];
}

function Table({ caption, columns, numeric, rows, selected, onSelect }: TableProps): ReactNode {
  return (
    <table>
      <caption>{caption}</caption>
      <thead>
        <tr>
          {columns.map((column, i) => (
            <th key={column} scope="col" className={numeric.includes(i) ? "plan-number" : undefined}>
              {column}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {rows.map(({ selection, cells }) => {
          const isSelected = selected?.kind === selection.kind && selected.id === selection.id;
          const [first = "", ...rest] = cells;
          return (
            <tr key={selection.id} data-selected={isSelected}>
              <th scope="row" className={numeric.includes(0) ? "plan-number" : undefined}>
                {onSelect ? (
                  <button
                    type="button"
                    aria-pressed={isSelected}
                    onClick={() => onSelect(isSelected ? null : selection)}
                  >
                    {first}
                  </button>
                ) : (
                  first
                )}
              </th>
              {rest.map((cell, i) => (
                // A row's cells are told apart by their column.
                <td key={columns[i + 1]} className={numeric.includes(i + 1) ? "plan-number" : undefined}>
                  {cell}
                </td>
              ))}
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

function outletCounts(outlets: readonly Outlet[]): string {
  const kinds = ["mains", "data", "coax", "phone"] as const;
  const counts = kinds.flatMap((kind) => {
    const count = outlets.filter((outlet) => outlet.kind === kind).length;
    return count > 0 ? [`${count} ${kind}`] : [];
  });
  return counts.join(", ") || "none";
}

const roomAt = (storey: Storey, at: readonly [number, number]): string => {
  let name = "none";
  let nearest = Infinity;
  for (const room of storey.rooms) {
    const xs = room.outline.map(([x]) => x);
    const ys = room.outline.map(([, y]) => y);
    const dx = Math.max(Math.min(...xs) - at[0], 0, at[0] - Math.max(...xs));
    const dy = Math.max(Math.min(...ys) - at[1], 0, at[1] - Math.max(...ys));
    const distance = Math.hypot(dx, dy);
    if (distance < nearest) {
      nearest = distance;
      name = room.name;
    }
  }
  return name;
};

interface RoomCells {
  least: number;
  most: number;
  known: number;
  none: number;
  targeted: number;
  below: number;
}

/** The map's cells counted by room; cells where nothing arrives count as below a target. */
function cellsByRoom(map: CoverageMap, numRooms: number): RoomCells[] {
  const rooms: RoomCells[] = Array.from({ length: numRooms }, () => ({
    least: Infinity,
    most: -Infinity,
    known: 0,
    none: 0,
    targeted: 0,
    below: 0,
  }));
  map.room.forEach((index, i) => {
    const room = index === null ? undefined : rooms[index];
    if (!room) return;
    const value = map.values[i] ?? null;
    const margin = map.margin_db[i] ?? null;
    if (value === null) room.none++;
    else {
      room.known++;
      room.least = Math.min(room.least, value);
      room.most = Math.max(room.most, value);
    }
    if (margin !== null) {
      room.targeted++;
      if (margin < 0) room.below++;
    }
  });
  return rooms;
}

function coverageCells(cell: RoomCells | undefined): string[] {
  if (!cell || cell.known === 0) return ["none", "none", cell && cell.none > 0 ? words.noValue : "no target"];
  const below = cell.targeted > 0 ? `${fixed((100 * cell.below) / cell.targeted, 0)} %` : "no target";
  const none =
    cell.none > 0 ? `, ${words.noValue} in ${fixed((100 * cell.none) / (cell.none + cell.known), 0)} %` : "";
  return [fixed(cell.least, 1), fixed(cell.most, 1), below + none];
}
