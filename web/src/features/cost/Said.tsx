/** What an offer says beside its sums: unit rates for extras, assumptions, risks and exclusions, cautions of the work. */

import { amountOf, sumText } from "../../document/money.ts";
import type { Caution, Statement, UnitRate } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { Known } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import { listed, type ScheduleProps } from "./schedule.ts";
import { linkName } from "./words.ts";

const t = text.cost;

export function ExtraSchedule(props: ScheduleProps) {
  const { answer, reader } = props;
  return (
    <Listing<UnitRate>
      {...listed(props)}
      caption={t.partTitles.extras}
      none={t.extras.none}
      first={{ id: "what", name: t.extras.what, value: ({ what }) => what }}
      rows={answer.quote.extras}
      idOf={({ id }) => id}
      nameOf={({ what }) => what}
      columns={[
        {
          id: "price",
          name: t.extras.price,
          isNumber: true,
          value: ({ price }) => amountOf(price),
          cell: ({ price, missing }) => (
            <Known
              value={price === null ? null : sumText(price, reader)}
              note={price === null ? text.figure.missing(missing) : null}
            />
          ),
        },
        {
          id: "currency",
          name: t.takeOff.currency,
          isFileOnly: true,
          value: ({ price }) => price?.split(" ")[1] ?? null,
        },
        { id: "reason", name: t.extras.reason, value: ({ reason }) => reason },
      ]}
    />
  );
}

export function StatementSchedule(props: ScheduleProps) {
  const { answer, design, selected, onSelect } = props;
  const about = ({ subjects }: Statement) =>
    subjects
      .filter((subject) => subject !== design.id)
      .map((subject) =>
        design.links?.some(({ id }) => id === subject) ? linkName(subject, design) : partTag(subject),
      )
      .join(", ");
  return (
    <Listing<Statement>
      {...listed(props)}
      caption={t.partTitles.statements}
      className="said-table"
      none={t.statements.none}
      first={{ id: "text", name: t.statements.text, value: (row) => row.text }}
      rows={answer.quote.statements}
      idOf={({ kind, id }) => `${kind} ${id}`}
      nameOf={(row) => row.text}
      isChosen={({ id }) => selected?.kind === "statement" && selected.id === id}
      onChoose={({ id }) => onSelect({ kind: "statement", id })}
      columns={[
        {
          id: "kind",
          name: t.statements.kind,
          value: ({ kind }) => t.statements.kinds[kind],
          cell: ({ kind }) => <span className={`said-kind said-${kind}`}>{t.statements.kinds[kind]}</span>,
        },
        { id: "reason", name: t.statements.reason, value: ({ reason }) => reason },
        {
          id: "about",
          name: t.statements.subjects,
          isExtra: true,
          value: about,
          cell: (row) => <span className="said-about">{about(row)}</span>,
        },
      ]}
    />
  );
}

export function CautionSchedule(props: ScheduleProps) {
  return (
    <>
      <Listing<Caution>
        {...listed(props)}
        caption={t.partTitles.cautions}
        className="said-table"
        none={t.cautions.none}
        first={{ id: "work", name: t.cautions.work, value: ({ work }) => work }}
        rows={props.answer.cautions}
        idOf={(caution) => `${caution.work} ${caution.text}`}
        nameOf={({ work }) => work}
        columns={[{ id: "text", name: t.cautions.text, value: (caution) => caution.text }]}
      />
      <p className="schedule-note">{t.cautions.note}</p>
    </>
  );
}
