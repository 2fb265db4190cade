/** A good, a better and a best offer side by side, each with what it adds to the one before. */

import { asShown } from "../../document/figures.ts";
import { quantity, type Reader, together } from "../../document/format.ts";
import { listCsv } from "../../document/listing.ts";
import type { DesignOption, Figure, FigureDifference, OfferAnswer, OfferStep } from "../../engine/types.ts";
import { text } from "../../text.ts";

const t = text.cost.offers;

interface Props {
  answer: OfferAnswer;
  options: readonly DesignOption[];
  shown: string | null;
  reader: Reader;
  onShow(id: string, name: string): void;
}

const nameOf = (id: string, options: readonly DesignOption[]): string =>
  options.find((option) => option.id === id)?.design.name ?? id;

const figureName = (id: string): string => text.figure.names[id] ?? id;

/** A value in the unit in which its figure is shown. */
function valueText({ figure, unit }: FigureDifference, value: number, reader: Reader): string {
  const own: Figure = {
    id: figure,
    subject: "",
    unit,
    value,
    low: null,
    high: null,
    confidence: null,
    estimate: false,
    sources: [],
  };
  const shown = asShown(own);
  return together(quantity(shown.value ?? value, shown.unit, reader));
}

/** What the option before says of a rule that it fails. */
function failing(rule: string, before: OfferStep, options: readonly DesignOption[]): string {
  const option = options.find(({ id }) => id === before.option);
  return option?.findings.find((finding) => finding.rule === rule)?.message ?? rule;
}

export function Offers(props: Props) {
  const { steps } = props.answer;
  if (steps.length === 0) return <p className="quiet-line schedule-empty">{t.none}</p>;
  return (
    <>
      <ol className="offers" aria-label={text.cost.partTitles.offers}>
        {steps.map((step, place) => (
          <li key={step.tier} className={step.option === props.shown ? "offer shown" : "offer"}>
            <Offer {...props} step={step} before={steps[place - 1] ?? null} />
          </li>
        ))}
      </ol>
      {steps.length < 3 && <p className="schedule-note">{t.fewer(steps.length)}</p>}
    </>
  );
}

function Offer({
  step,
  before,
  options,
  shown,
  reader,
  onShow,
}: Props & { step: OfferStep; before: OfferStep | null }) {
  const name = nameOf(step.option, options);
  const isShown = step.option === shown;
  const below = before && t.tiers[before.tier];
  return (
    <>
      <h3 className="offer-tier">{t.tiers[step.tier]}</h3>
      <p className="offer-name">
        {name}
        {step.recommended && <span className="tag">{t.recommended}</span>}
        {isShown && <span className="tag">{t.shown}</span>}
      </p>
      <p className="offer-price figure">{together(quantity(step.price, step.currency, reader))}</p>
      <p className="offer-reason">{step.reason}</p>
      {below === null ? (
        <p className="offer-first">{t.first}</p>
      ) : (
        <>
          <Differences title={t.adds(below)} list={step.adds} reader={reader} kind="better" />
          <Differences title={t.costs(below)} list={step.costs} reader={reader} kind="worse" />
          {before && step.mends.length > 0 && (
            <section>
              <h4>{t.mends(below)}</h4>
              <ul className="plain-list">
                {step.mends.map((rule) => (
                  <li key={rule}>{failing(rule, before, options)}</li>
                ))}
              </ul>
            </section>
          )}
        </>
      )}
      {!isShown && (
        <button
          type="button"
          className="button"
          aria-label={t.showOf(name)}
          onClick={() => onShow(step.option, name)}
        >
          {t.showIt}
        </button>
      )}
    </>
  );
}

interface DifferencesProps {
  title: string;
  list: readonly FigureDifference[];
  reader: Reader;
  kind: "better" | "worse";
}

function Differences({ title, list, reader, kind }: DifferencesProps) {
  if (list.length === 0) return null;
  return (
    <section>
      <h4>{title}</h4>
      <dl className={`lines offer-${kind}`}>
        {list.map((difference) => (
          <div key={difference.figure}>
            <dt>{figureName(difference.figure)}</dt>
            <dd>
              <span className="figure">
                {t.fromTo(
                  valueText(difference, difference.other, reader),
                  valueText(difference, difference.this, reader),
                )}
              </span>
            </dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

interface FileRow {
  step: OfferStep;
  difference: FigureDifference;
  word: string;
}

/** The offers as a file: a row for each figure in which one differs from the one before, and for each price. */
export function offersCsv(answer: OfferAnswer, options: readonly DesignOption[]): string {
  const rows = answer.steps.flatMap((step): FileRow[] => [
    {
      step,
      word: "",
      difference: { figure: "price", this: step.price, other: Number.NaN, unit: step.currency },
    },
    ...step.adds.map((difference) => ({ step, difference, word: t.betterWord })),
    ...step.costs.map((difference) => ({ step, difference, word: t.worseWord })),
  ]);
  return listCsv<FileRow>(
    [
      { id: "offer", name: t.offer, value: ({ step }) => t.tiers[step.tier] },
      { id: "design", name: t.design, value: ({ step }) => nameOf(step.option, options) },
      { id: "figure", name: t.figure, value: ({ difference }) => figureName(difference.figure) },
      { id: "own", name: t.own, value: ({ difference }) => difference.this },
      { id: "before", name: t.before, value: ({ difference }) => difference.other },
      { id: "unit", name: t.unit, value: ({ difference }) => difference.unit },
      { id: "against", name: t.against, value: ({ word }) => word },
    ],
    rows,
  );
}
