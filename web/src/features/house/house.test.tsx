import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { expect, test, vi } from "vitest";
import type { House, JobDocument } from "../../engine/types.ts";
import { Details } from "./Details.tsx";
import { RoomsTable } from "./RoomsTable.tsx";

const reader = { locale: "en-GB", units: "metric" as const };
const wall = (id: string, assembly: string) => ({
  id,
  kind: "inside" as const,
  assembly,
  assembly_name: `Made of ${assembly}`,
  thickness_m: 0.1,
  length_m: 3.2,
  solids: [],
});

const house: House = {
  revision: 1,
  name: "Home",
  units: "metric",
  north_deg: 0,
  bounds: { min: [0, 0], max: [5, 5] },
  demarcation: null,
  storeys: [
    {
      id: "ground",
      name: "Ground floor",
      use: "living",
      floor_z: 0,
      ceiling_z: 2.4,
      walls: [wall("w1", "stud"), wall("w2", "block")],
      openings: [],
      rooms: [
        {
          id: "hall",
          name: "Hall",
          use: "hall",
          area_m2: 7.4,
          outline: [],
          holes: [],
          inside: [1, 1],
          target: { down_bps: 25e6, up_bps: 5e6 },
        },
      ],
      stairs: [],
      outlets: [],
      objects: [],
    },
  ],
};

const document = {
  building: { assemblies: [], walls: [{ id: "w1" }, { id: "w2" }] },
} as unknown as JobDocument;

test("a wall says what it is, and its assembly is chosen among those of the home", async () => {
  const onAssembly = vi.fn();
  render(
    <Details
      selected={{ kind: "wall", id: "w1" }}
      house={house}
      document={document}
      design={null}
      unsent={[]}
      reader={reader}
      onAssembly={onAssembly}
      onClear={() => {}}
    />,
  );
  expect(screen.getByRole("region", { name: "Inside wall" }).textContent).toContain("3.20\u00a0m");
  await userEvent.selectOptions(screen.getByRole("combobox", { name: "Assembly" }), "Made of block");
  expect(onAssembly).toHaveBeenCalledWith("w1", "block", "Made of block");
});

test("a room is chosen and renamed in the schedule; an unsent name is shown", async () => {
  const onRename = vi.fn();
  const onSelect = vi.fn();
  render(
    <RoomsTable
      house={house}
      selected={null}
      unsent={[{ kind: "set", path: "building/rooms/hall/name", value: "Lobby" }]}
      reader={reader}
      onSelect={onSelect}
      onRename={onRename}
    />,
  );
  const [room] = house.storeys[0]?.rooms ?? [];
  expect(screen.getByRole("row", { name: /Lobby/ }).textContent).toContain(
    "25\u00a0Mbit/s / 5.0\u00a0Mbit/s",
  );
  await userEvent.click(screen.getByRole("button", { name: "Lobby" }));
  expect(onSelect).toHaveBeenCalledWith(room, "ground");
  await userEvent.click(screen.getByRole("button", { name: "Rename Lobby" }));
  const field = screen.getByRole("textbox", { name: "Room name" });
  await userEvent.clear(field);
  await userEvent.type(field, "Porch{Enter}");
  expect(onRename).toHaveBeenCalledWith(room, "Porch");
});
