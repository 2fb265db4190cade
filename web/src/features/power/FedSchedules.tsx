/** What is powered: over data cables with its voltage, how warm cables get by it, and what every part is fed from. */

import { length, number, quantity, together } from "../../document/format.ts";
import { fedLines, feedLines, labelOf } from "../../document/wireRows.ts";
import { bundleId } from "../../document/wiring.ts";
import type { CablingAnswer } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { Known, Measure, Nothing, Whole } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import { isPart, type ScheduleProps } from "./schedule.ts";

const t = text.power.fed;
const b = text.power.bundles;
const f = text.power.feeds;

const labels = (answer: CablingAnswer, links: readonly string[]): string =>
  links.map((link) => labelOf(answer, link)).join(", ");

/** Classes above this are of parts that cannot be fed over data cables. */
const HIGHEST = 8;

export function FedSchedule(props: ScheduleProps) {
  const { answer, reader, selected, onSelect } = props;
  return (
    <>
      <Listing
        caption={text.power.partTitles.fed}
        lead={props.lead}
        first={{ id: "part", name: t.part, value: ({ fed }) => fed.part }}
        columns={[
          { id: "supply", name: t.supply, isFileOnly: true, value: ({ supply }) => supply.supply },
          {
            id: "class",
            name: t.class,
            isNumber: true,
            value: ({ fed }) => (fed.class > HIGHEST ? null : fed.class),
            cell: ({ fed }) => (
              <Known value={fed.class > HIGHEST ? null : String(fed.class)} none={t.notFed} />
            ),
          },
          {
            id: "pairs",
            name: t.pairs,
            isNumber: true,
            isExtra: true,
            value: ({ fed }) => (fed.pairs === null ? null : t.pairsOf[fed.pairs]),
            cell: ({ fed }) => <Known value={fed.pairs === null ? null : t.pairsOf[fed.pairs]} />,
          },
          {
            id: "draw",
            name: t.draw,
            unit: "W",
            isNumber: true,
            value: ({ fed }) => fed.draw,
            cell: ({ fed }) => <Measure value={fed.draw} unit="W" reader={reader} />,
          },
          {
            id: "at-port",
            name: t.atPort,
            unit: "W",
            isNumber: true,
            value: ({ fed }) => fed.at_port.value,
            cell: ({ fed }) => <Whole figure={fed.at_port} reader={reader} />,
          },
          {
            id: "voltage",
            name: t.voltage,
            unit: "V",
            isNumber: true,
            value: ({ fed }) => fed.voltage.value,
            cell: ({ fed }) => <Whole figure={fed.voltage} reader={reader} />,
          },
          {
            id: "voltage-low",
            name: t.voltageLow,
            unit: "V",
            isFileOnly: true,
            value: ({ fed }) => fed.voltage.low,
          },
          {
            id: "least",
            name: t.least,
            unit: "V",
            isNumber: true,
            value: ({ fed }) => fed.least_voltage,
            cell: ({ fed }) => {
              const { voltage, least_voltage: least } = fed;
              const worst = voltage.low ?? voltage.value;
              return (
                <>
                  <Measure value={least} unit="V" reader={reader} />
                  {least !== null && worst !== null && (
                    <span className={worst < least ? "figure-note too-much" : "figure-note"}>
                      {worst < least
                        ? t.below(together(quantity(least - worst, "V", reader)))
                        : t.above(together(quantity(worst - least, "V", reader)))}
                    </span>
                  )}
                </>
              );
            },
          },
          {
            id: "current",
            name: t.current,
            unit: "A",
            isNumber: true,
            isExtra: true,
            value: ({ fed }) => fed.current.value,
            cell: ({ fed }) => <Whole figure={fed.current} reader={reader} />,
          },
          {
            id: "cables",
            name: t.cables,
            value: ({ links }) => labels(answer, links),
            cell: ({ links }) =>
              links.length > 0 ? labels(answer, links) : <span className="figure unknown">{t.noCable}</span>,
          },
        ]}
        rows={fedLines(answer)}
        idOf={({ supply, fed, number: nth }) => `${supply.supply} ${fed.part} ${nth}`}
        nameOf={({ fed }) => partTag(fed.part)}
        underOf={({ supply }) => t.by(partTag(supply.supply))}
        isChosen={({ supply, fed, links }) =>
          isPart(selected, fed.part) ||
          isPart(selected, supply.supply) ||
          (selected?.kind === "cable" && links.includes(selected.id))
        }
        onChoose={({ fed }) => onSelect({ kind: "part", id: fed.part })}
        none={t.none}
        look={props.look}
        locale={reader.locale}
        onLook={props.onLook}
        onExport={props.onExport}
      />
      <p className="schedule-note">{t.note}</p>
    </>
  );
}

export function WarmthSchedule(props: ScheduleProps) {
  const { answer, reader, selected } = props;
  return (
    <>
      <Listing
        caption={text.power.partTitles.warmth}
        lead={props.lead}
        first={{ id: "cables", name: b.bundle, value: ({ links }) => labels(answer, links) }}
        columns={[
          { id: "count", name: b.count, isNumber: true, value: ({ links }) => links.length },
          { id: "powered", name: b.powered, isNumber: true, value: ({ powered }) => powered },
          { id: "way", name: b.way, value: ({ way }) => text.ways[way] ?? way },
          {
            id: "length",
            name: b.length,
            unit: "m",
            isNumber: true,
            value: ({ length: metres }) => metres,
            cell: ({ length: metres }) => <Known value={length(metres, reader, 1)} />,
          },
          {
            id: "ambient",
            name: b.ambient,
            unit: "°C",
            isNumber: true,
            value: ({ ambient }) => ambient,
            cell: ({ ambient }) => <Measure value={ambient} unit="°C" reader={reader} />,
          },
          {
            id: "rise",
            name: b.rise,
            unit: "K",
            isNumber: true,
            value: ({ rise }) => rise.value,
            cell: ({ rise }) => <Whole figure={rise} reader={reader} />,
          },
          { id: "rise-high", name: b.riseHigh, unit: "K", isFileOnly: true, value: ({ rise }) => rise.high },
        ]}
        rows={answer.wires.bundles}
        idOf={bundleId}
        nameOf={({ links }) => <span className="cell-words">{labels(answer, links)}</span>}
        isChosen={({ links }) => selected?.kind === "cable" && links.includes(selected.id)}
        none={b.none}
        look={props.look}
        locale={reader.locale}
        onLook={props.onLook}
        onExport={props.onExport}
      />
      <p className="schedule-note">{b.limit(together(quantity(15, "K", reader)), number(24, reader))}</p>
    </>
  );
}

export function FeedSchedule(props: ScheduleProps) {
  const { answer, house, reader, selected, onSelect } = props;
  return (
    <Listing
      caption={text.power.partTitles.feeds}
      lead={props.lead}
      first={{ id: "part", name: f.part, value: ({ part }) => part }}
      columns={[
        { id: "room", name: f.room, value: ({ room }) => room },
        {
          id: "from",
          name: f.from,
          value: ({ from, source }) => (from === "mains" && source === null ? f.mainsNone : f[from]),
          cell: ({ from, source }) =>
            from === "mains" && source === null ? (
              <span className="figure unknown">{f.mainsNone}</span>
            ) : (
              f[from]
            ),
        },
        {
          id: "source",
          name: f.source,
          value: ({ source }) => source,
          // Outlets are called by their ids, as on the plan.
          cell: ({ source, from }) =>
            source === null ? <Nothing said={text.unknown} /> : from === "mains" ? source : partTag(source),
        },
        {
          id: "distance",
          name: f.distance,
          unit: "m",
          isNumber: true,
          value: ({ distance }) => distance,
          cell: ({ distance, from }) =>
            from === "poe" ? (
              <Nothing said={f.poe} />
            ) : (
              <Known value={distance === null ? null : length(distance, reader, 1)} />
            ),
        },
      ]}
      rows={feedLines(answer, house)}
      idOf={({ part, from, source }) => `${part} ${from} ${source ?? ""}`}
      nameOf={({ part }) => partTag(part)}
      isChosen={({ part, source }) =>
        isPart(selected, part) ||
        (source !== null &&
          (selected?.kind === "part" || selected?.kind === "outlet") &&
          selected.id === source)
      }
      onChoose={({ part }) => onSelect({ kind: "part", id: part })}
      none={f.none}
      look={props.look}
      locale={reader.locale}
      onLook={props.onLook}
      onExport={props.onExport}
    />
  );
}
