import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { jobView } from "../document/address.ts";
import type { JobState } from "../store/jobState.ts";
import { commandsOf, keyLines, keyOf } from "./commands.ts";

const storey = (id: string, floor_z: number) => ({ id, name: id, floor_z });
const option = (id: string) => ({ id, design: { id, name: id } });
const state = {
  id: "j",
  answer: { can_undo: false, can_redo: true, undo_label: null, redo_label: "Rename" },
  house: { storeys: [storey("ground", 0), storey("upper", 2.7)] },
  planning: { plan: { options: [option("a"), option("b")] } },
  shown: option("a"),
  pinned: null,
  storey: "ground",
  edits: { undo: vi.fn(), redo: vi.fn() },
} as unknown as JobState;

const doors = { toggleSchedule: vi.fn(), openKeys: vi.fn(), openHistory: vi.fn() };
const view = { ...jobView("j"), sheet: "coverage" as const };

function command(id: string) {
  const found = commandsOf(view, state, doors).find((c) => c.id === id);
  if (!found) throw new Error(id);
  return found;
}

beforeEach(() => history.replaceState(null, "", "/jobs/j/coverage"));
afterEach(() => history.replaceState(null, "", "/"));

test("commands change the address, which is the state", () => {
  command("options").run();
  expect(location.pathname).toBe("/jobs/j/options");
  command("storeyUp").run();
  command("nextOption").run();
  command("pin").run();
  command("band").run();
  const query = new URLSearchParams(location.search);
  expect(Object.fromEntries(query)).toEqual({ storey: "upper", design: "b", pinned: "a", band: "2.4" });
});

test("what cannot be done is not enabled", () => {
  expect(command("previousOption").isEnabled).toBe(false);
  expect(command("undo").isEnabled).toBe(false);
  expect(command("redo").isEnabled).toBe(true);
  command("redo").run();
  expect(state.edits.redo).toHaveBeenCalledWith("Rename");
});

test("every command has a key of its own and a line in the list", () => {
  const commands = commandsOf(view, state, doors);
  expect(new Set(commands.map((c) => c.key)).size).toBe(commands.length);
  expect(keyLines(commands).every((line) => line.label.length > 0 && line.keys.length > 0)).toBe(true);
});

test("a key is written as commands write it", () => {
  const event = (init: KeyboardEventInit) => keyOf(new KeyboardEvent("keydown", init));
  expect(event({ key: "b" })).toBe("b");
  expect(event({ key: "Z", ctrlKey: true, shiftKey: true })).toBe("Control+Shift+z");
  expect(event({ key: "z", metaKey: true })).toBe("Control+z");
  expect(event({ key: "b", altKey: true })).toBeNull();
});

test("on the resilience sheet what is chosen is switched off and on again, and the last switch is undone", () => {
  const switching = (off: string[]) => {
    const here = { ...jobView("j", "resilience"), off, selected: { kind: "part" as const, id: "ap-1" } };
    return (id: string) => commandsOf(here, state, doors).find((c) => c.id === id);
  };
  const offNow = () => new URLSearchParams(location.search).get("off");
  history.replaceState(null, "", "/jobs/j/resilience");
  expect(switching([])("switchUndo")?.isEnabled).toBe(false);
  switching([])("switch")?.run();
  expect(offNow()).toBe("ap-1");
  switching(["mains", "ap-1"])("switch")?.run();
  expect(offNow()).toBe("mains");
  switching(["mains", "ap-1"])("switchUndo")?.run();
  expect(offNow()).toBe("mains");
  expect(command("switch").isEnabled).toBe(false);
});
