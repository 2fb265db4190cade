/** Which storey comes first, and what is where on it. */

import type { House, JobDocument, Opening, Outlet, Room, Storey, Wall } from "../engine/types.ts";

/** Top storey first, as they stand. */
export function storeysFromTop(house: House): Storey[] {
  return house.storeys.toSorted((a, b) => b.floor_z - a.floor_z);
}

/** The storey that a person walks in on: the lowest that is not below ground. */
export function entranceStorey(house: House): string | null {
  const upwards = house.storeys.toSorted((a, b) => a.floor_z - b.floor_z);
  // Half a metre allows for plinths and split levels.
  return (upwards.find((storey) => storey.floor_z > -0.5) ?? upwards[0])?.id ?? null;
}

export function storeyAbove(house: House, id: string, steps: 1 | -1): string | null {
  const upwards = house.storeys.toSorted((a, b) => a.floor_z - b.floor_z);
  const index = upwards.findIndex((storey) => storey.id === id);
  return index < 0 ? null : (upwards[index + steps]?.id ?? null);
}

export type Found =
  | { kind: "room"; storey: Storey; element: Room }
  | { kind: "wall"; storey: Storey; element: Wall }
  | { kind: "opening"; storey: Storey; element: Opening }
  | { kind: "outlet"; storey: Storey; element: Outlet };

export function find(house: House, kind: string, id: string): Found | null {
  for (const storey of house.storeys) {
    if (kind === "room") {
      const element = storey.rooms.find((room) => room.id === id);
      if (element) return { kind, storey, element };
    } else if (kind === "wall") {
      const element = storey.walls.find((wall) => wall.id === id);
      if (element) return { kind, storey, element };
    } else if (kind === "opening") {
      const element = storey.openings.find((opening) => opening.id === id);
      if (element) return { kind, storey, element };
    } else if (kind === "outlet") {
      const element = storey.outlets.find((outlet) => outlet.id === id);
      if (element) return { kind, storey, element };
    }
  }
  return null;
}

export interface NamedAssembly {
  id: string;
  name: string;
}

/** What a wall of this home can be made of: the job's own assemblies, and those that its walls have already. */
export function wallAssemblies(house: House, document: JobDocument): NamedAssembly[] {
  const byId = new Map<string, string>();
  for (const { id, name } of document.building.assemblies) byId.set(id, name);
  for (const storey of house.storeys) {
    for (const wall of storey.walls)
      if (!byId.has(wall.assembly)) byId.set(wall.assembly, wall.assembly_name);
  }
  return [...byId].map(([id, name]) => ({ id, name })).toSorted((a, b) => a.name.localeCompare(b.name));
}
