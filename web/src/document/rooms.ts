/** The map as a table: how much of each room is covered. It counts the map's cells and computes nothing else. */

import type { CoverageMap, Room, Storey } from "../engine/types.ts";

export interface RoomShare {
  room: Room;
  /** Share of the cells with a target that meet it, 0 to 1; null where the room has no target. */
  covered: number | null;
  /** Lowest and highest value of the map in the room, in the map's unit; null where nothing arrives. */
  lowest: number | null;
  highest: number | null;
}

export function sharesByRoom(map: CoverageMap, storey: Storey): RoomShare[] {
  const tallies = storey.rooms.map(() => ({
    cells: 0,
    met: 0,
    low: Number.POSITIVE_INFINITY,
    high: Number.NEGATIVE_INFINITY,
  }));
  map.room.forEach((index, cell) => {
    const tally = index === null ? undefined : tallies[index];
    if (!tally) return;
    const margin = map.margin_db[cell];
    if (margin != null) {
      tally.cells += 1;
      if (margin >= 0) tally.met += 1;
    }
    const value = map.values[cell];
    if (value != null) {
      tally.low = Math.min(tally.low, value);
      tally.high = Math.max(tally.high, value);
    }
  });
  return storey.rooms.map((room, index) => {
    const tally = tallies[index];
    const known = tally !== undefined && tally.high >= tally.low;
    return {
      room,
      covered: tally && tally.cells > 0 ? tally.met / tally.cells : null,
      lowest: known ? tally.low : null,
      highest: known ? tally.high : null,
    };
  });
}
