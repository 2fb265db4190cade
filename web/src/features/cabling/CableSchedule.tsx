/** Known row for each cable and cord: where it leads, how long it is, how it runs and what it does to signals. */

import { type CableLine, cableLines } from "../../document/wireRows.ts";
import type { Figure } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { Known, Nothing, Whole } from "../../ui/Cells.tsx";
import { Listing, type ListingColumn } from "../../ui/Listing.tsx";
import type { ScheduleProps } from "./schedule.ts";
import { wayName } from "./words.ts";

const t = text.cabling.cables;

const label = ({ row, isCord }: CableLine): string => row.label || (isCord ? text.cabling.cord : row.link);

/** The ways without holes, which are counted beside them. */
const shortly = (ways: CableLine["ways"]): string =>
  ways
    .filter((way) => way !== "through")
    .map((way) => text.waysShort[way] ?? way)
    .join(", ");

/** A figure's ends, which only files have as columns of their own. */
function ends(
  id: string,
  name: string,
  unit: string,
  of: (line: CableLine) => Figure,
): ListingColumn<CableLine>[] {
  return [
    { id: `${id}-low`, name: `${name}, ${t.low}`, unit, isFileOnly: true, value: (line) => of(line).low },
    { id: `${id}-high`, name: `${name}, ${t.high}`, unit, isFileOnly: true, value: (line) => of(line).high },
  ];
}

export function CableSchedule(props: ScheduleProps) {
  const { answer, reader, related, onSelect } = props;
  const figure = (
    id: string,
    name: string,
    unit: string,
    of: (line: CableLine) => Figure,
    isExtra = false,
  ): ListingColumn<CableLine>[] => [
    {
      id,
      name,
      unit,
      isNumber: true,
      isExtra,
      value: (line) => of(line).value,
      cell: (line) => <Whole figure={of(line)} reader={reader} />,
    },
    ...ends(id, name, unit, of),
  ];
  const plain = (
    id: string,
    name: string,
    unit: string,
    value: (line: CableLine) => number | null,
  ): ListingColumn<CableLine> => ({ id, name, unit, isFileOnly: true, value });
  const columns: ListingColumn<CableLine>[] = [
    { id: "from", name: t.from, isFileOnly: true, value: ({ from }) => from },
    { id: "to", name: t.to, isFileOnly: true, value: ({ to }) => to },
    {
      id: "kind",
      name: t.kind,
      value: ({ row }) => row.category || row.cable || text.cabling.cord,
      cell: ({ row, isCord }) => (
        <>
          {row.category || (isCord ? text.cabling.cord : text.unknown)}
          {row.cable && <span className="figure-note">{row.cable}</span>}
        </>
      ),
    },
    {
      id: "length",
      name: t.length,
      unit: "m",
      isNumber: true,
      value: ({ length }) => length.value,
      cell: ({ length, isCord }) =>
        isCord ? <Nothing said={t.cordOnly} /> : <Whole figure={length} reader={reader} />,
    },
    ...ends("length", t.length, "m", ({ length }) => length),
    plain("way-length", t.wayLength, "m", ({ route }) => route?.way_length ?? null),
    plain("channel", t.channel, "m", ({ row }) => row.channel_length.value),
    plain("most-cord", t.mostCord, "m", ({ row }) => row.most_cord.value),
    {
      id: "ways",
      name: t.ways,
      value: ({ ways }) => ways.map(wayName).join("; "),
      cell: ({ ways, route, isCord }) =>
        isCord ? (
          <Nothing said={t.cordOnly} />
        ) : route ? (
          <span className="cell-words">
            {shortly(ways)}
            {route.existing && <span className="figure-note">{t.existing}</span>}
          </span>
        ) : (
          <span className="figure unknown">{t.noWay}</span>
        ),
    },
    {
      id: "holes",
      name: t.holes,
      isNumber: true,
      value: ({ holes, isCord }) => (isCord ? null : holes.length),
    },
    ...figure("margin", t.margin, "dB", ({ row }) => row.loss_margin),
    {
      id: "fastest",
      name: t.fastest,
      value: ({ row }) => row.fastest,
      cell: ({ row }) => (
        <>
          <Known value={row.fastest} none={t.noRate} />
          {row.fastest_if_quiet !== null && row.fastest_if_quiet !== row.fastest && (
            <span className="figure-note">{t.quiet(row.fastest_if_quiet)}</span>
          )}
        </>
      ),
    },
    ...figure("delay", t.delay, "ns", ({ row }) => row.delay, true),
    ...figure("loop", t.loop, "Ω", ({ row }) => row.loop_resistance, true),
    plain("skew", t.skew, "ns", ({ row }) => row.skew.value),
    plain("radius", t.radius, "mm", ({ row }) => row.bend_radius_mm),
    plain("pull", t.pull, "N", ({ row }) => row.most_pull_n),
  ];
  return (
    <>
      <Listing
        caption={text.cabling.partTitles.cables}
        className="cable-table"
        lead={props.lead}
        first={{ id: "cable", name: t.cable, value: label }}
        columns={columns}
        rows={cableLines(answer)}
        idOf={({ row }) => row.link}
        nameOf={label}
        underOf={({ from, to }) => text.cabling.fromTo(partTag(from), partTag(to))}
        isChosen={({ row }) => related?.cables.has(row.link) ?? false}
        onChoose={({ row }) => onSelect({ kind: "cable", id: row.link })}
        none={text.cabling.noCables}
        look={props.look}
        locale={reader.locale}
        onLook={props.onLook}
        onExport={props.onExport}
      />
      <p className="schedule-note">
        {t.wayNote} {t.measured}
      </p>
    </>
  );
}
