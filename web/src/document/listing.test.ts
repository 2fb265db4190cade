import { expect, test } from "vitest";
import { found, inOrder, type Listed, listCsv, nextSort } from "./listing.ts";

interface Row {
  name: string;
  price: number | null;
}

const rows: Row[] = [
  { name: "cord-10", price: 4 },
  { name: "cord-2", price: null },
  { name: "Outlet", price: 12.5 },
];
const columns: Listed<Row>[] = [
  { id: "name", name: "Part", value: (row) => row.name },
  { id: "price", name: "Price", unit: "ct", scale: 100, value: (row) => row.price },
];
const names = (list: Row[]) => list.map((row) => row.name);

test("a column sorts up and down, texts by their numbers, and what is unknown stays last", () => {
  expect(names(inOrder(rows, columns, { column: "name", isDown: false }, "en"))).toEqual([
    "cord-2",
    "cord-10",
    "Outlet",
  ]);
  expect(names(inOrder(rows, columns, { column: "price", isDown: false }, "en"))).toEqual([
    "cord-10",
    "Outlet",
    "cord-2",
  ]);
  expect(names(inOrder(rows, columns, { column: "price", isDown: true }, "en"))).toEqual([
    "Outlet",
    "cord-10",
    "cord-2",
  ]);
  expect(names(inOrder(rows, columns, { column: "nothing", isDown: true }, "en"))).toEqual(names(rows));
});

test("a head that is pressed sorts up, then down, then not", () => {
  const up = nextSort(null, "price");
  const down = nextSort(up, "price");
  expect([up, down, nextSort(down, "price")]).toEqual([
    { column: "price", isDown: false },
    { column: "price", isDown: true },
    null,
  ]);
});

test("every word that is looked for has to occur, whatever its case", () => {
  expect(names(found(rows, columns, " CORD 4 "))).toEqual(["cord-10"]);
  expect(names(found(rows, columns, "  "))).toEqual(names(rows));
  expect(found(rows, columns, "nothing like it")).toEqual([]);
});

test("a file has the unit in its heads, numbers in that unit, and nothing where a value is unknown", () => {
  expect(listCsv(columns, rows)).toBe("Part,Price [ct]\r\ncord-10,400\r\ncord-2,\r\nOutlet,1250\r\n");
});
