/** Known row for each port: what is plugged in, at which rate, what power it gives; and what is left over. */

import { number, rate } from "../../document/format.ts";
import { labelOf, portLines } from "../../document/wireRows.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { Known, Nothing } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import type { ScheduleProps } from "./schedule.ts";

const t = text.cabling.ports;

export function PortSchedule(props: ScheduleProps) {
  const { answer, reader, selected, related, onSelect } = props;
  const ofClass = (value: number | null): string | null =>
    value === null ? null : value > 8 ? t.notFed : t.poeClass(number(value, reader));
  return (
    <>
      <Listing
        caption={text.cabling.partTitles.ports}
        lead={props.lead}
        first={{ id: "port", name: t.port, value: ({ sheet, port }) => `${sheet.part}, ${port.port}` }}
        columns={[
          { id: "part", name: t.part, isFileOnly: true, value: ({ sheet }) => sheet.part },
          {
            id: "plugged",
            name: t.plugged,
            value: ({ port }) => port.to,
            cell: ({ port }) =>
              port.to !== null ? (
                <>
                  {partTag(port.to)}
                  {!port.exists && <span className="figure-note">{t.absent}</span>}
                </>
              ) : (
                <span className="quiet">{t.spare}</span>
              ),
          },
          {
            id: "cable",
            name: t.cable,
            value: ({ port }) => (port.link === null ? null : labelOf(answer, port.link)),
            cell: ({ port }) =>
              port.link === null ? <Nothing said={t.spare} /> : labelOf(answer, port.link),
          },
          {
            id: "rate",
            name: t.rate,
            unit: "Mbit/s",
            scale: 1e-6,
            isNumber: true,
            value: ({ port }) => port.rate,
            cell: ({ port }) =>
              port.link === null ? (
                <Nothing said={t.spare} />
              ) : (
                <Known value={port.rate === null ? null : rate(port.rate, reader)} />
              ),
          },
          {
            id: "gives",
            name: t.gives,
            value: ({ port }) => ofClass(port.gives_class),
            cell: ({ port }) => ofClass(port.gives_class) ?? <Nothing said={t.givesNone} />,
          },
          {
            id: "feeds",
            name: t.feeds,
            value: ({ port }) => ofClass(port.feeds_class),
            cell: ({ port }) => ofClass(port.feeds_class) ?? <Nothing said={t.feedsNone} />,
          },
          {
            id: "state",
            name: t.state,
            isFileOnly: true,
            value: ({ port }) => (!port.exists ? t.absent : port.link === null ? t.spare : t.taken),
          },
        ]}
        rows={portLines(answer)}
        idOf={({ sheet, port }) => `${sheet.part} ${port.port}`}
        nameOf={({ port }) => port.port}
        underOf={({ sheet }) => partTag(sheet.part)}
        isChosen={({ sheet, port }) =>
          (selected?.kind === "part" && selected.id === sheet.part) ||
          (port.link !== null && (related?.cables.has(port.link) ?? false))
        }
        onChoose={({ sheet, port }) =>
          onSelect(port.link === null ? { kind: "part", id: sheet.part } : { kind: "cable", id: port.link })
        }
        none={t.none}
        look={props.look}
        locale={reader.locale}
        onLook={props.onLook}
        onExport={props.onExport}
      />
      {answer.wires.ports.length > 0 && (
        <section className="wire-summary" aria-labelledby="ports-summary">
          <h3 id="ports-summary">{t.summary}</h3>
          <dl className="lines">
            {answer.wires.ports.map(({ part, spare, oversubscription }) => (
              <div key={part}>
                <dt>{partTag(part)}</dt>
                <dd>
                  <span className="figure">{t.free(spare)}</span>
                  {oversubscription !== null && (
                    <span className="figure-note">{t.over(number(oversubscription, reader, 1))}</span>
                  )}
                </dd>
              </div>
            ))}
          </dl>
        </section>
      )}
    </>
  );
}
