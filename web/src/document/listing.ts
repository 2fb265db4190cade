/** Lists that are sorted, searched and written to files: one definition of a column serves all three. */

import type { SortedBy } from "./address.ts";
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

/** How a reader wants a list: it is part of the page's address. */
export interface Arrangement {
  sort: SortedBy | null;
  /** Words that each row has to have. */
  find: string;
}

/** What pressing a column's head does: up, then down, then as the list came. */
export function nextSort(sort: SortedBy | null, column: string): SortedBy | null {
  if (sort?.column !== column) return { column, isDown: false };
  return sort.isDown ? null : { column, isDown: true };
}

/** Sorted by one column; what is unknown comes last either way, and equals stay as they stand. */
export function inOrder<Row>(
  rows: readonly Row[],
  columns: readonly Listed<Row>[],
  sort: SortedBy | null,
  locale: string,
): Row[] {
  const column = columns.find(({ id }) => id === sort?.column);
  if (!sort || !column) return [...rows];
  const texts = new Intl.Collator(locale, { numeric: true, sensitivity: "base" });
  const isKnown = (value: Value): value is string | number =>
    value !== null && (typeof value === "string" || Number.isFinite(value));
  const compare = (a: string | number, b: string | number): number =>
    typeof a === "number" && typeof b === "number" ? a - b : texts.compare(String(a), String(b));
  return rows
    .map((row) => ({ row, value: column.value(row) }))
    .sort(({ value: a }, { value: b }) => {
      if (!isKnown(a) || !isKnown(b)) return Number(isKnown(b)) - Number(isKnown(a));
      return sort.isDown ? compare(b, a) : compare(a, b);
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
