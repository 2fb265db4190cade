/** Lists that are sorted, searched and written to files: one definition of a column serves all three. */

import { type CsvColumn, csvOf } from "./csv.ts";

/** A text, a number, or null where it is unknown or there is none. */
export type Value = string | number | null;

export interface Listed<Row> {
  id: string;
  /** What the column is called, in tables and in files. */
  name: string;
  /** Unit of its numbers in files. */
  unit?: string;
  /** From SI to that unit. */
  scale?: number;
  value(row: Row): Value;
}

/** By which column a list is sorted, and which way. */
export interface Order {
  by: string;
  isDown: boolean;
}

/** An order as addresses have it: `price`, or `price:down`. */
export function orderFrom(text: string | null): Order | null {
  if (!text) return null;
  const isDown = text.endsWith(":down");
  const by = isDown ? text.slice(0, -":down".length) : text;
  return by === "" ? null : { by, isDown };
}

export function orderText(order: Order | null): string | null {
  return order && `${order.by}${order.isDown ? ":down" : ""}`;
}

/** What pressing a column's head does: up, then down, then as the list came. */
export function nextOrder(order: Order | null, by: string): Order | null {
  if (order?.by !== by) return { by, isDown: false };
  return order.isDown ? null : { by, isDown: true };
}

/** Sorted by one column; what is unknown comes last either way, and equals stay as they stand. */
export function inOrder<Row>(
  rows: readonly Row[],
  columns: readonly Listed<Row>[],
  order: Order | null,
  locale: string,
): Row[] {
  const column = columns.find(({ id }) => id === order?.by);
  if (!order || !column) return [...rows];
  const texts = new Intl.Collator(locale, { numeric: true, sensitivity: "base" });
  const isKnown = (value: Value): value is string | number =>
    value !== null && (typeof value === "string" || Number.isFinite(value));
  const compare = (a: string | number, b: string | number): number =>
    typeof a === "number" && typeof b === "number" ? a - b : texts.compare(String(a), String(b));
  return rows
    .map((row) => ({ row, value: column.value(row) }))
    .sort(({ value: a }, { value: b }) => {
      if (!isKnown(a) || !isKnown(b)) return Number(isKnown(b)) - Number(isKnown(a));
      return order.isDown ? compare(b, a) : compare(a, b);
    })
    .map(({ row }) => row);
}

/** Rows in whose texts every word that is looked for occurs. */
export function found<Row>(rows: readonly Row[], columns: readonly Listed<Row>[], sought: string): Row[] {
  const words = sought
    .toLocaleLowerCase()
    .split(/\s+/)
    .filter((word) => word !== "");
  if (words.length === 0) return [...rows];
  return rows.filter((row) => {
    const own = columns
      .map((column) => String(column.value(row) ?? ""))
      .join("\n")
      .toLocaleLowerCase();
    return words.every((word) => own.includes(word));
  });
}

/** So many figures that no rounding shows, and none of the noise of binary fractions. */
const tidy = (value: number): number => Number(value.toPrecision(9));

export function listCsv<Row>(columns: readonly Listed<Row>[], rows: readonly Row[]): string {
  return csvOf(
    columns.map(
      ({ name, unit, scale = 1, value }): CsvColumn<Row> => ({
        head: unit === undefined ? name : `${name} [${unit}]`,
        value: (row) => {
          const own = value(row);
          return typeof own === "number" ? tidy(own * scale) : own;
        },
      }),
    ),
    rows,
  );
}
