/** A schedule that sorts by any of its columns, is searched by words, and is handed out as a file. */

import type { ReactNode } from "react";
import { type Arrangement, found, inOrder, type Listed, listCsv, nextSort } from "../document/listing.ts";
import { text } from "../text.ts";
import { type Column, ScheduleTable } from "./ScheduleTable.tsx";
import "./listing.css";

const t = text.listing;

export interface ListingColumn<Row> extends Listed<Row> {
  /** Below the name in the table's head, such as the unit. */
  note?: string;
  isNumber?: boolean;
  isExtra?: boolean;
  /** Only files have it. */
  isFileOnly?: boolean;
  cell?(row: Row): ReactNode;
}

/** Cards that are shown before the rest is asked for. */
const most = 8;

interface Props<Row> {
  caption: string;
  className?: string;
  /** Stands before the search, in the same bar. */
  lead?: ReactNode;
  /** What each row is called; sorted and searched as the other columns are. */
  first: Listed<Row>;
  columns: readonly ListingColumn<Row>[];
  rows: readonly Row[];
  idOf(row: Row): string;
  nameOf(row: Row): ReactNode;
  underOf?(row: Row): ReactNode;
  isChosen?(row: Row): boolean;
  onChoose?(row: Row): void;
  /** Said where there are no rows at all. */
  none: string;
  look: Arrangement;
  locale: string;
  onLook(look: Arrangement): void;
  onExport(content: string): void;
}

export function Listing<Row>(props: Props<Row>) {
  const { caption, first, columns, rows, look, locale, onLook } = props;
  const listed: Listed<Row>[] = [first, ...columns];
  const shown = inOrder(found(rows, listed, look.find), listed, look.sort, locale);
  const sort = (by: string) => onLook({ ...look, sort: nextSort(look.sort, by) });
  const sortedOf = (id: string) =>
    look.sort?.column === id ? (look.sort.isDown ? "descending" : "ascending") : "none";
  const drawn = columns.filter((column) => !column.isFileOnly);
  const isSought = look.find.trim() !== "";
  return (
    <>
      <div className="schedule-bar">
        {props.lead}
        <div className="listing-tools">
          <input
            type="search"
            className="input listing-search"
            aria-label={t.searchIn(caption)}
            placeholder={t.search}
            value={look.find}
            onChange={(event) => onLook({ ...look, find: event.target.value })}
          />
          <label className="listing-sort">
            <span>{t.sortBy}</span>
            <select
              className="input"
              value={look.sort ? `${look.sort.column}:${look.sort.isDown}` : ""}
              onChange={({ target }) => {
                const [column = "", isDown] = target.value.split(":");
                onLook({ ...look, sort: column === "" ? null : { column, isDown: isDown === "true" } });
              }}
            >
              <option value="">{t.unsorted}</option>
              {[first, ...drawn].flatMap(({ id, name }) => [
                <option key={id} value={`${id}:false`}>
                  {t.up(name)}
                </option>,
                <option key={`${id}-down`} value={`${id}:true`}>
                  {t.down(name)}
                </option>,
              ])}
            </select>
          </label>
          <button
            type="button"
            className="button export"
            aria-label={text.capacity.exportOf(caption)}
            onClick={() => props.onExport(listCsv(listed, shown))}
          >
            {text.capacity.exportAs}
          </button>
        </div>
      </div>
      <p className={isSought ? "schedule-note" : "spoken"} role="status">
        {isSought ? t.matches(shown.length, rows.length) : ""}
      </p>
      {rows.length === 0 ? (
        <p className="quiet-line schedule-empty">{props.none}</p>
      ) : (
        <ScheduleTable
          caption={caption}
          className={props.className ?? ""}
          head={first.name}
          headSort={{ direction: sortedOf(first.id), onSort: () => sort(first.id) }}
          rows={shown}
          most={most}
          idOf={props.idOf}
          nameOf={props.nameOf}
          {...(props.underOf ? { underOf: props.underOf } : {})}
          {...(props.isChosen ? { isChosen: props.isChosen } : {})}
          {...(props.onChoose ? { onChoose: props.onChoose } : {})}
          columns={drawn.map(
            (column): Column<Row> => ({
              id: column.id,
              head: column.name,
              ...(column.note === undefined ? {} : { note: column.note }),
              isNumber: column.isNumber ?? false,
              isExtra: column.isExtra ?? false,
              sort: { direction: sortedOf(column.id), onSort: () => sort(column.id) },
              cell: (row) => (column.cell ? column.cell(row) : column.value(row)),
            }),
          )}
        />
      )}
    </>
  );
}
