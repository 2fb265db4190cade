/** A table as comma-separated values (RFC 4180): numbers with a point and no grouping, texts that no program takes for a formula. */

export interface CsvColumn<Row> {
  /** With the unit of its numbers. */
  head: string;
  /** Null where the value is unknown or there is none. */
  value(row: Row): string | number | null;
}

function cell(value: string | number | null): string {
  if (value === null) return "";
  if (typeof value === "number") return Number.isFinite(value) ? String(value) : "";
  const plain = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(plain) ? `"${plain.replaceAll('"', '""')}"` : plain;
}

export function csvOf<Row>(columns: readonly CsvColumn<Row>[], rows: readonly Row[]): string {
  const lines = [
    columns.map((column) => cell(column.head)),
    ...rows.map((row) => columns.map((c) => cell(c.value(row)))),
  ];
  return lines.map((line) => `${line.join(",")}\r\n`).join("");
}

/** A name for a file out of names that people gave. */
export function fileName(...parts: readonly string[]): string {
  const words = parts.map((part) =>
    part
      .toLowerCase()
      .replace(/[^\p{Letter}\p{Number}]+/gu, "-")
      .replace(/^-+|-+$/g, ""),
  );
  return `${words.filter((word) => word !== "").join("-") || "table"}.csv`;
}
