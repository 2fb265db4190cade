/** A schedule: a table whose rows can be chosen, and a list of cards where there is no room for one. */

import { type ReactNode, useState } from "react";
import { text } from "../text.ts";
import { useMedia } from "./useMedia.ts";

/** Which way a table is sorted by a column, and what pressing its head does. */
export interface Sort {
  direction: "ascending" | "descending" | "none";
  onSort(): void;
}

export interface Column<Row> {
  id: string;
  head: ReactNode;
  /** Below the head, small. */
  note?: string;
  sort?: Sort;
  /** Numbers: right-aligned, in figures of one width. */
  isNumber?: boolean;
  /** Left out of the table where the sheet is narrow; cards and files have it. */
  isExtra?: boolean;
  cell(row: Row): ReactNode;
}

interface Props<Row> {
  caption: string;
  className?: string;
  /** What each row is called, and the columns beside it. */
  head: string;
  headSort?: Sort;
  columns: readonly Column<Row>[];
  rows: readonly Row[];
  /** Of more cards than these the rest is shown when asked for; tables show all. */
  most?: number;
  idOf(row: Row): string;
  nameOf(row: Row): ReactNode;
  /** Below the name, small. */
  underOf?(row: Row): ReactNode;
  isChosen?(row: Row): boolean;
  onChoose?(row: Row): void;
}

/** Below this width of the window, cards [px]. */
const narrow = "(max-width: 700px)";

export function ScheduleTable<Row>(props: Props<Row>) {
  const isNarrow = useMedia(narrow);
  return isNarrow ? <Cards {...props} /> : <Table {...props} />;
}

function Table<Row>(props: Props<Row>) {
  const { caption, className, head, headSort, columns, rows, idOf, isChosen } = props;
  const classOf = (column: Column<Row>): string | undefined =>
    [column.isNumber ? "right" : "", column.isExtra ? "extra-column" : ""].join(" ").trim() || undefined;
  return (
    <table className={`schedule ${className ?? ""}`}>
      <caption className="spoken">{caption}</caption>
      <thead>
        <tr>
          <th scope="col" {...sortedBy(headSort)}>
            <Head name={head} sort={headSort} />
          </th>
          {columns.map((column) => (
            <th key={column.id} scope="col" className={classOf(column)} {...sortedBy(column.sort)}>
              <Head name={column.head} sort={column.sort} />
              {column.note !== undefined && <span className="under">{column.note}</span>}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={idOf(row)} className={isChosen?.(row) ? "selected" : undefined}>
            <th scope="row">
              <Name {...props} row={row} />
            </th>
            {columns.map((column) => (
              <td key={column.id} className={classOf(column)}>
                {column.cell(row)}
              </td>
            ))}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function sortedBy(sort: Sort | undefined): { "aria-sort"?: Sort["direction"] } {
  return sort && sort.direction !== "none" ? { "aria-sort": sort.direction } : {};
}

function Head({ name, sort }: { name: ReactNode; sort: Sort | undefined }) {
  if (!sort) return name;
  const mark = { ascending: "\u2191", descending: "\u2193", none: "" }[sort.direction];
  return (
    <button type="button" className="head-sort" onClick={sort.onSort}>
      {name}
      <span className="head-sort-mark" aria-hidden="true">
        {mark}
      </span>
    </button>
  );
}

function Cards<Row>(props: Props<Row>) {
  const { caption, className, columns, rows, most = Number.POSITIVE_INFINITY, idOf, isChosen } = props;
  const [isWhole, setWhole] = useState(false);
  // A list that is only a little longer is not worth a button.
  const isCut = !isWhole && rows.length > most + 2;
  const shown = isCut ? rows.filter((row, place) => place < most || isChosen?.(row)) : rows;
  return (
    <>
      <ul className={`schedule-cards ${className ?? ""}`} aria-label={caption}>
        {shown.map((row) => (
          <li key={idOf(row)} className={isChosen?.(row) ? "schedule-card selected" : "schedule-card"}>
            <Name {...props} row={row} />
            <dl>
              {columns.map((column) => (
                <div key={column.id} className={column.isNumber ? "card-number" : "card-words"}>
                  <dt>
                    {column.head}
                    {column.note !== undefined && `, ${column.note}`}
                  </dt>
                  <dd>{column.cell(row)}</dd>
                </div>
              ))}
            </dl>
          </li>
        ))}
      </ul>
      {isCut && (
        <button type="button" className="button all-cards" onClick={() => setWhole(true)}>
          {text.listing.showAll(rows.length)}
        </button>
      )}
    </>
  );
}

function Name<Row>({ row, nameOf, underOf, isChosen, onChoose }: Props<Row> & { row: Row }) {
  const under = underOf?.(row);
  return (
    <>
      {onChoose ? (
        <button
          type="button"
          className="row-choice"
          aria-pressed={isChosen?.(row) ?? false}
          onClick={() => onChoose(row)}
        >
          {nameOf(row)}
        </button>
      ) : (
        nameOf(row)
      )}
      {under && <span className="under">{under}</span>}
    </>
  );
}
