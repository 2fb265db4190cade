/** The schedules of the cost sheet: one at a time, each with its search, order and export. */

import { type CostPart, costParts, type Selected } from "../../document/address.ts";
import { fileName } from "../../document/csv.ts";
import type { Reader } from "../../document/format.ts";
import type { Arrangement } from "../../document/listing.ts";
import { sumText } from "../../document/money.ts";
import { currencyOf } from "../../document/terms.ts";
import type { CostAnswer, Design, DesignOption, Edit, OfferAnswer } from "../../engine/types.ts";
import { announce } from "../../store/announce.ts";
import { text } from "../../text.ts";
import { Choice } from "../../ui/Choice.tsx";
import { download } from "../../ui/download.ts";
import { Failure } from "../../ui/Notice.tsx";
import { PriceSchedule } from "./Bill.tsx";
import { OrderSchedule, SpoolSchedule, TakeOffSchedule } from "./Goods.tsx";
import { Offers, offersCsv } from "./Offers.tsx";
import { CautionSchedule, ExtraSchedule, StatementSchedule } from "./Said.tsx";
import type { ScheduleProps } from "./schedule.ts";
import { TermsForm } from "./TermsForm.tsx";
import { WorkSchedule } from "./Work.tsx";
import "./cost.css";

const t = text.cost;

export interface OfferState {
  answer: OfferAnswer | null;
  error: Error | null;
  again(): void;
}

interface Props {
  answer: CostAnswer;
  offer: OfferState;
  /** The planner's options, which offers are made from. */
  options: readonly DesignOption[];
  /** The job's name, for names of files; the currency of the site; whether the job states terms. */
  job: string;
  currency: string;
  hasTerms: boolean;
  design: Design;
  /** The option that is shown. */
  shown: string | null;
  part: CostPart;
  look: Arrangement;
  selected: Selected | null;
  reader: Reader;
  onPart(part: CostPart): void;
  onLook(look: Arrangement): void;
  onSelect(selected: Selected | null): void;
  onShow(id: string, name: string): void;
  onEdit(label: string, edits: Edit[]): void;
}

export function CostSchedules(props: Props) {
  const { answer, reader } = props;
  const { price } = answer.quote;
  return (
    <>
      {/* Where the margin stands below the schedules, the headline comes before them. */}
      <p className="lead-line">
        {t.lead(
          price && sumText(price.total, reader),
          price && t.between(sumText(price.low, reader), sumText(price.high, reader)),
        )}
      </p>
      <OnePart {...props} />
    </>
  );
}

function OnePart(props: Props) {
  const { answer, job, design, part, selected, onSelect } = props;
  const save = (content: string) => {
    const file = fileName(job, design.name, part);
    download(file, content);
    announce(text.capacity.exported(file));
  };
  const lead = (
    <Choice
      label={t.schedules}
      canFold
      options={costParts.map((name) => ({ value: name, label: t.partNames[name], name: t.partTitles[name] }))}
      value={part}
      onChange={props.onPart}
    />
  );
  const shared: ScheduleProps = {
    answer,
    design,
    selected,
    reader: props.reader,
    look: props.look,
    lead,
    onLook: props.onLook,
    onExport: save,
    onSelect: (next) => onSelect(selected?.kind === next.kind && selected.id === next.id ? null : next),
  };
  switch (part) {
    case "price":
      return <PriceSchedule {...shared} />;
    case "take-off":
      return <TakeOffSchedule {...shared} />;
    case "spools":
      return <SpoolSchedule {...shared} />;
    case "orders":
      return <OrderSchedule {...shared} />;
    case "work":
      return <WorkSchedule {...shared} />;
    case "extras":
      return <ExtraSchedule {...shared} />;
    case "statements":
      return <StatementSchedule {...shared} />;
    case "cautions":
      return <CautionSchedule {...shared} />;
    case "offers":
      return <OfferSchedule {...props} lead={lead} onExport={save} />;
    case "terms":
      return (
        <>
          <div className="schedule-bar">{lead}</div>
          <TermsForm
            terms={answer.terms}
            currency={currencyOf(answer.quote.price?.total, props.currency)}
            hasTerms={props.hasTerms}
            onEdit={props.onEdit}
          />
        </>
      );
  }
}

function OfferSchedule({
  offer,
  options,
  shown,
  reader,
  lead,
  onShow,
  onExport,
}: Props & Pick<ScheduleProps, "lead" | "onExport">) {
  const { answer, error } = offer;
  return (
    <>
      <div className="schedule-bar">
        {lead}
        {answer && answer.steps.length > 0 && (
          <button
            type="button"
            className="button export"
            aria-label={text.capacity.exportOf(t.partTitles.offers)}
            onClick={() => onExport(offersCsv(answer, options))}
          >
            {text.capacity.exportAs}
          </button>
        )}
      </div>
      {answer ? (
        <Offers answer={answer} options={options} shown={shown} reader={reader} onShow={onShow} />
      ) : error ? (
        <Failure error={error} title={t.offers.failed} onAgain={offer.again} />
      ) : (
        <p className="quiet-line schedule-empty" role="status">
          {t.offers.working}
        </p>
      )}
    </>
  );
}
