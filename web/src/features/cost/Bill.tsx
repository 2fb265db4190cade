/** How the price is made up, line by line to the total, and when it is paid. */

import { type BillLine, billOf, calendarDay } from "../../document/bill.ts";
import type { Reader } from "../../document/format.ts";
import { listCsv } from "../../document/listing.ts";
import { amountOf, percentOf, sumText } from "../../document/money.ts";
import type { CostAnswer, Figure } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { FigureInterval } from "../../ui/FigureText.tsx";
import type { ScheduleProps } from "./schedule.ts";
import { count } from "./words.ts";

const t = text.cost;

/** The figure of the whole price, which says what is missing. */
export function priceFigure(answer: CostAnswer): Figure | null {
  return answer.quote.figures.find(({ id }) => id === "price") ?? null;
}

function noteOf({ id }: BillLine, answer: CostAnswer, reader: Reader): string | null {
  const { price } = answer.quote;
  if (!price) return null;
  switch (id) {
    case "labour":
      return t.labourOf(`${count(Number(price.hours), reader)}\u00a0h`, sumText(price.rate, reader));
    case "overhead":
    case "margin": {
      const percent = percentOf(answer.terms[id]);
      return percent === null ? null : t.shareOf[id](`${count(percent, reader)}\u00a0%`);
    }
    case "total":
      return t.between(sumText(price.low, reader), sumText(price.high, reader));
    default:
      return null;
  }
}

function nameOf({ id, name }: BillLine): string {
  return name ?? t.lines[id];
}

export function BillTable({ answer, reader }: { answer: CostAnswer; reader: Reader }) {
  const { price } = answer.quote;
  if (!price) return <MissingPrice figure={priceFigure(answer)} reader={reader} />;
  return (
    <table className="schedule bill">
      <caption className="spoken">{t.partTitles.price}</caption>
      <thead className="spoken">
        <tr>
          <th scope="col">{t.item}</th>
          <th scope="col">{t.amount}</th>
        </tr>
      </thead>
      <tbody>
        {billOf(price).map((line) => (
          <tr key={`${line.id} ${line.name}`} className={line.isSum ? `bill-sum bill-${line.id}` : undefined}>
            <th scope="row">
              {nameOf(line)}
              {noteOf(line, answer, reader) !== null && (
                <span className="under" title={line.id === "total" ? t.intervalMeaning : undefined}>
                  {noteOf(line, answer, reader)}
                </span>
              )}
            </th>
            <td className="right">
              <span className="figure">{sumText(line.sum, reader)}</span>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function MissingPrice({ figure, reader }: { figure: Figure | null; reader: Reader }) {
  const missing = figure?.missing ?? [];
  return (
    <div className="bill-missing">
      <p className="probe-verdict">
        {t.lines.total} <span className="figure unknown">{text.unknown}</span>
      </p>
      {missing.length > 0 ? (
        <>
          <h3>{t.missingTitle}</h3>
          <ul className="plain-list">
            {missing.map((what) => (
              <li key={what}>{what}</li>
            ))}
          </ul>
        </>
      ) : (
        <FigureInterval figure={figure} reader={reader} />
      )}
    </div>
  );
}

export function Validity({ answer, reader }: { answer: CostAnswer; reader: Reader }) {
  const until = answer.quote.valid_until;
  return (
    <div>
      <dt>{t.validUntil}</dt>
      <dd>{until === null ? t.validNone : calendarDay(until, reader.locale)}</dd>
    </div>
  );
}

export function PriceSchedule({ answer, reader, lead, onExport }: ScheduleProps) {
  const { price } = answer.quote;
  return (
    <>
      <div className="schedule-bar">
        {lead}
        {price && (
          <button
            type="button"
            className="button export"
            aria-label={text.capacity.exportOf(t.partTitles.price)}
            onClick={() =>
              onExport(
                listCsv<BillLine>(
                  [
                    { id: "item", name: t.item, value: nameOf },
                    { id: "amount", name: t.amount, value: ({ sum }) => amountOf(sum) },
                    {
                      id: "currency",
                      name: t.takeOff.currency,
                      value: ({ sum }) => sum.split(" ")[1] ?? null,
                    },
                  ],
                  billOf(price),
                ),
              )
            }
          >
            {text.capacity.exportAs}
          </button>
        )}
      </div>
      <div className="bill-sheet">
        <BillTable answer={answer} reader={reader} />
        <dl className="lines bill-terms">
          <Validity answer={answer} reader={reader} />
          {price && price.taxes.length === 0 && (
            <div>
              <dt>{t.lines.tax}</dt>
              <dd>{t.noTax}</dd>
            </div>
          )}
          {price?.stages.map(({ due, amount }) => (
            <div key={due}>
              <dt>{due}</dt>
              <dd>
                <span className="figure">{sumText(amount, reader)}</span>
              </dd>
            </div>
          ))}
        </dl>
      </div>
    </>
  );
}
