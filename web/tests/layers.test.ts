// Guards the floors of the app: a folder imports only from itself and from the floors below it.

import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { expect, test } from "vitest";

const source = resolve(import.meta.dirname, "../src");

/** What each folder may import from, beside itself. */
const allowed: Record<string, string[]> = {
  geometry: [],
  document: ["geometry", "engine"],
  engine: ["geometry"],
  store: ["geometry", "document", "engine", "text"],
  ui: ["geometry", "document", "engine", "store", "text"],
  plan: ["geometry", "document", "engine", "store", "ui", "text"],
  features: ["geometry", "document", "engine", "store", "ui", "plan", "text"],
  app: ["geometry", "document", "engine", "store", "ui", "plan", "features", "text"],
  text: [],
};

function files(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return files(path);
    return /\.(ts|tsx|css)$/.test(entry.name) && !entry.name.endsWith(".d.ts") ? [path] : [];
  });
}

/** `features/options/Table.tsx` is on floor `features`, in subject `options`. */
function place(path: string): { floor: string; subject: string } {
  const steps = relative(source, path).split("/");
  return { floor: (steps[0] ?? "").replace(/\.tsx?$/, ""), subject: steps[1] ?? "" };
}

function forbidden(from: string, specifier: string): string | null {
  if (!specifier.startsWith(".")) return null;
  const target = resolve(dirname(from), specifier);
  const here = place(from);
  const there = place(target);
  const edge = `${relative(source, from)} imports ${relative(source, target)}`;
  if (here.floor === there.floor) {
    return here.floor === "features" && here.subject !== there.subject ? `${edge}: another feature` : null;
  }
  return allowed[here.floor]?.includes(there.floor) ? null : `${edge}: a floor above`;
}

test("imports only go down, and no feature imports another", () => {
  const edges = files(source).flatMap((path) =>
    [...readFileSync(path, "utf8").matchAll(/(?:from|import|import\()\s*"(\.[^"]+)"/g)].map((match) =>
      forbidden(path, match[1] ?? ""),
    ),
  );
  expect(edges.length).toBeGreaterThan(0);
  expect(edges.filter((edge) => edge !== null)).toEqual([]);
});

test("the rule itself refuses what it should", () => {
  expect(forbidden(join(source, "geometry/a.ts"), "../store/b.ts")).toContain("a floor above");
  expect(forbidden(join(source, "features/house/a.ts"), "../options/b.ts")).toContain("another feature");
  expect(forbidden(join(source, "features/house/a.ts"), "../../ui/b.ts")).toBeNull();
});
