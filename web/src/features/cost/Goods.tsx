/** What is bought: the take-off with its prices, the spools that cables are cut from, and what has to be ordered. */

import { share } from "../../document/format.ts";
import type { Listed } from "../../document/listing.ts";
import { amountOf, sumText } from "../../document/money.ts";
import type { Order, Spool, TakeOffLine } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { Known } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import { listed, type ScheduleProps } from "./schedule.ts";
import { cable, count, linkName, unitName } from "./words.ts";

const t = text.cost;

export function TakeOffSchedule(props: ScheduleProps) {
  const { answer, selected, reader, onSelect } = props;
  const { take_off, price } = answer.quote;
  const unpriced = take_off.filter((line) => line.price === null).length;
  // A part may stand in two lines: what is bought of it, and what is there already.
  const rows = take_off.map((line, place) => ({ ...line, place }));
  type Row = TakeOffLine & { place: number };
  const first: Listed<Row> = { id: "part", name: t.takeOff.part, value: (line) => line.name };
  const money = (sum: string | null) => (
    <Known value={sum === null ? null : sumText(sum, reader)} none={t.missingWord} />
  );
  return (
    <>
      <Listing<Row>
        {...listed(props)}
        caption={t.partTitles["take-off"]}
        none={t.takeOff.none}
        first={first}
        rows={rows}
        idOf={({ place }) => String(place)}
        nameOf={({ name }) => name}
        underOf={({ part }) => part}
        isChosen={({ part }) => selected?.kind === "goods" && selected.id === part}
        onChoose={({ part }) => onSelect({ kind: "goods", id: part })}
        columns={[
          {
            id: "equipment",
            name: t.takeOff.equipment,
            isFileOnly: true,
            value: ({ part }) => part,
          },
          {
            id: "quantity",
            name: t.takeOff.quantity,
            isNumber: true,
            value: ({ quantity }) => quantity,
            cell: ({ quantity }) => <Known value={count(quantity, reader)} />,
          },
          { id: "unit", name: t.takeOff.unit, value: ({ unit }) => unitName(unit) },
          {
            id: "unit-price",
            name: t.takeOff.unitPrice,
            isNumber: true,
            value: ({ unit_price }) => amountOf(unit_price),
            cell: ({ unit_price }) => money(unit_price),
          },
          {
            id: "price",
            name: t.takeOff.price,
            isNumber: true,
            value: (line) => amountOf(line.price),
            cell: (line) => money(line.price),
          },
          {
            id: "currency",
            name: t.takeOff.currency,
            isFileOnly: true,
            value: (line) => line.price?.split(" ")[1] ?? null,
          },
        ]}
      />
      {take_off.length > 0 && (
        <p className="schedule-note">
          {price && unpriced === 0
            ? t.takeOff.sum(sumText(price.parts, reader))
            : unpriced > 0
              ? t.takeOff.sumMissing(unpriced)
              : ""}
        </p>
      )}
    </>
  );
}

const cutOf = (spool: Spool): number => spool.length - spool.left;
const cutShare = (spool: Spool): number => (spool.length > 0 ? cutOf(spool) / spool.length : 0);

/** Both shares, so that they make up the whole. */
function barText(spool: Spool, reader: ScheduleProps["reader"]): string {
  const cut = Math.round(100 * cutShare(spool)) / 100;
  return t.spools.bar(share(cut, reader, 0), share(1 - cut, reader, 0));
}

interface SpoolRow extends Spool {
  cable: string;
  n: number;
}

export function SpoolSchedule(props: ScheduleProps) {
  const { answer, design, reader, selected, onSelect } = props;
  const { spools } = answer.quote;
  const nameOf = (id: string) => answer.quote.take_off.find((line) => line.part === id)?.name ?? id;
  const rows = spools.flatMap((kind) =>
    kind.spools.map((spool, place): SpoolRow => ({ ...spool, cable: kind.cable, n: place + 1 })),
  );
  return (
    <>
      <Listing<SpoolRow>
        {...listed(props)}
        caption={t.partTitles.spools}
        none={t.spools.none}
        first={{
          id: "spool",
          name: t.spools.spool,
          value: (row) => t.spools.nameOf(nameOf(row.cable), row.n),
        }}
        rows={rows}
        idOf={(row) => `${row.cable} ${row.n}`}
        nameOf={(row) => t.spools.nameOf(nameOf(row.cable), row.n)}
        isChosen={(row) => selected?.kind === "goods" && selected.id === row.cable}
        onChoose={(row) => onSelect({ kind: "goods", id: row.cable })}
        columns={[
          {
            id: "links",
            name: t.spools.links,
            value: ({ links }) => links.map((link) => linkName(link, design)).join("; "),
            cell: ({ links }) => links.map((link) => linkName(link, design)).join("; "),
          },
          {
            id: "length",
            name: t.spools.length,
            unit: "m",
            isNumber: true,
            value: (row) => row.length,
            cell: (row) => <Known value={cable(row.length, reader)} />,
          },
          {
            id: "cut",
            name: t.spools.cut,
            unit: "m",
            isNumber: true,
            value: cutOf,
            cell: (row) => <Known value={cable(cutOf(row), reader)} />,
          },
          {
            id: "left",
            name: t.spools.left,
            unit: "m",
            isNumber: true,
            value: ({ left }) => left,
            cell: (row) => (
              <>
                <Known value={cable(row.left, reader)} />
                <SpoolBar cut={cutShare(row)} said={barText(row, reader)} />
              </>
            ),
          },
        ]}
      />
      {spools.map((kind) => (
        <p key={kind.cable} className="schedule-note">
          {t.spools.together(
            nameOf(kind.cable),
            cable(kind.bought, reader),
            cable(kind.cut, reader),
            cable(kind.left, reader),
            kind.open,
          )}{" "}
          {kind.bound >= kind.bought ? t.spools.proved : t.spools.bound(cable(kind.bound, reader))}
        </p>
      ))}
      {spools.length > 0 && <p className="schedule-note">{t.spools.noSplice}</p>}
    </>
  );
}

/** How much of a spool is cut: filled, and what is left: open. */
function SpoolBar({ cut, said }: { cut: number; said: string }) {
  const width = 92;
  const filled = Math.max(0, Math.min(1, cut)) * width;
  return (
    <svg className="spool-bar" width={width + 2} height="9" role="img" aria-label={said}>
      <rect className="spool-cut" x="1" y="1" width={filled} height="7" />
      <rect className="spool-frame" x="1" y="1" width={width} height="7" />
    </svg>
  );
}

export function OrderSchedule(props: ScheduleProps) {
  const { answer, reader, selected, onSelect } = props;
  const nameOf = (part: string) => answer.quote.take_off.find((line) => line.part === part)?.name ?? part;
  return (
    <Listing<Order>
      {...listed(props)}
      caption={t.partTitles.orders}
      none={t.orders.none}
      first={{ id: "part", name: t.orders.part, value: ({ part }) => nameOf(part) }}
      rows={answer.quote.orders}
      idOf={({ part, unit }) => `${part} ${unit}`}
      nameOf={({ part }) => nameOf(part)}
      underOf={({ part }) => part}
      isChosen={({ part }) => selected?.kind === "goods" && selected.id === part}
      onChoose={({ part }) => onSelect({ kind: "goods", id: part })}
      columns={[
        {
          id: "needed",
          name: t.orders.needed,
          isNumber: true,
          value: ({ needed }) => needed,
          cell: ({ needed }) => <Known value={count(needed, reader)} />,
        },
        {
          id: "stock",
          name: t.orders.stock,
          isNumber: true,
          value: (row) => row.in_stock,
          cell: (row) => <Known value={count(row.in_stock, reader)} />,
        },
        {
          id: "order",
          name: t.orders.order,
          isNumber: true,
          value: ({ order }) => order,
          cell: ({ order }) => (
            <Known
              value={order === null ? null : count(order, reader)}
              note={order === null ? t.orders.stockUnknown : null}
            />
          ),
        },
        { id: "unit", name: t.orders.unit, value: ({ unit }) => unitName(unit) },
      ]}
    />
  );
}
