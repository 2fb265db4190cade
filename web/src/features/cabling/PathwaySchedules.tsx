/** What cables run in: by kind of way, what has to be made for them once, and which run side by side. */

import { quantity, together } from "../../document/format.ts";
import { bundleId, madeRows, pathwaysOf } from "../../document/wiring.ts";
import { text } from "../../text.ts";
import { Known, Measure, Nothing } from "../../ui/Cells.tsx";
import { Listing } from "../../ui/Listing.tsx";
import type { ScheduleProps } from "./schedule.ts";
import { far, labelsText, wayName } from "./words.ts";

const t = text.cabling.pathways;

export function PathwaySchedule(props: ScheduleProps) {
  const { answer, reader } = props;
  return (
    <>
      <Listing
        caption={text.cabling.partTitles.pathways}
        lead={props.lead}
        first={{ id: "way", name: t.way, value: ({ way }) => wayName(way) }}
        columns={[
          {
            id: "length",
            name: t.length,
            unit: "m",
            isNumber: true,
            value: ({ length }) => length,
            cell: ({ length }) => <Known value={far(length, reader)} />,
          },
          {
            id: "cable",
            name: t.cable,
            unit: "m",
            isNumber: true,
            value: ({ cable }) => cable,
            cell: ({ cable }) => <Known value={far(cable, reader)} />,
          },
          { id: "most", name: t.most, isNumber: true, value: ({ most }) => most },
          {
            id: "pipe",
            name: t.pipe,
            unit: "mm",
            isNumber: true,
            value: ({ leastPipe }) => leastPipe,
            cell: ({ leastPipe }) => <Measure value={leastPipe} unit="mm" reader={reader} />,
          },
          {
            id: "made",
            name: t.made,
            unit: "m",
            isNumber: true,
            value: ({ made }) => made,
            cell: ({ made }) =>
              made > 0 ? <Known value={far(made, reader)} /> : <Nothing said={t.madeNone} />,
          },
        ]}
        rows={pathwaysOf(answer)}
        idOf={({ way }) => way}
        nameOf={({ way }) => wayName(way)}
        none={t.none}
        look={props.look}
        locale={reader.locale}
        onLook={props.onLook}
        onExport={props.onExport}
      />
      <p className="schedule-note">{t.notes}</p>
    </>
  );
}

export function MadeSchedule(props: ScheduleProps) {
  const { answer, reader } = props;
  return (
    <Listing
      caption={text.cabling.partTitles.made}
      lead={props.lead}
      first={{ id: "way", name: t.what, value: ({ way }) => wayName(way) }}
      columns={[
        { id: "element", name: t.element, value: ({ element }) => element },
        {
          id: "length",
          name: t.length,
          unit: "m",
          isNumber: true,
          value: ({ length }) => length,
          cell: ({ length }) => <Known value={far(length, reader)} />,
        },
        {
          id: "count",
          name: text.cabling.holesTable.count,
          isNumber: true,
          value: ({ links }) => links.length,
        },
        {
          id: "cables",
          name: t.cables,
          value: ({ links }) => labelsText(answer, links),
          cell: ({ links }) => <span className="cell-words">{labelsText(answer, links)}</span>,
        },
      ]}
      rows={madeRows(answer.wiring.made)}
      idOf={({ id }) => id}
      nameOf={({ way }) => wayName(way)}
      none={t.madeNo}
      look={props.look}
      locale={reader.locale}
      onLook={props.onLook}
      onExport={props.onExport}
    />
  );
}

export function BundleSchedule(props: ScheduleProps) {
  const { answer, reader, related } = props;
  const show = (value: number, unit: string) => together(quantity(value, unit, reader));
  return (
    <Listing
      caption={text.cabling.partTitles.bundles}
      lead={props.lead}
      first={{ id: "cables", name: t.cables, value: ({ links }) => labelsText(answer, links) }}
      columns={[
        { id: "count", name: t.side, isNumber: true, value: ({ links }) => links.length },
        { id: "way", name: t.way, value: ({ way }) => wayName(way) },
        {
          id: "length",
          name: t.length,
          unit: "m",
          isNumber: true,
          value: ({ length }) => length,
          cell: ({ length }) => <Known value={far(length, reader)} />,
        },
        {
          id: "section",
          name: t.section,
          unit: "mm²",
          isNumber: true,
          value: ({ section_mm2 }) => section_mm2,
          cell: ({ section_mm2 }) => <Known value={show(section_mm2, "mm²")} />,
        },
        {
          id: "pipe",
          name: t.pipe,
          unit: "mm",
          isNumber: true,
          value: ({ least_pipe_mm }) => least_pipe_mm,
          cell: ({ least_pipe_mm }) => <Known value={show(least_pipe_mm, "mm")} />,
        },
      ]}
      rows={answer.wires.bundles.toSorted((a, b) => b.links.length - a.links.length || b.length - a.length)}
      idOf={bundleId}
      nameOf={({ links }) => <span className="cell-words">{labelsText(answer, links)}</span>}
      isChosen={({ links }) => links.some((link) => related?.cables.has(link) ?? false)}
      none={t.none}
      look={props.look}
      locale={reader.locale}
      onLook={props.onLook}
      onExport={props.onExport}
    />
  );
}
