/** The state of the cabling and power sheets: how the design's cables run, and what of it the plan draws. */

import { useCallback, useMemo } from "react";
import type { JobView, Selected } from "../document/address.ts";
import { length, quantity, type Reader, smallLength, together } from "../document/format.ts";
import { levelOfHole } from "../document/levels.ts";
import { cableLines, fedLines, labelOf, placeOfSource } from "../document/wireRows.ts";
import { isBelowGround, lookOf, routeOf, wiresOf } from "../document/wiring.ts";
import type { BatteryRow, CablingAnswer, Caution, House } from "../engine/types.ts";
import type { DrawnCable, DrawnFeed, DrawnHole, DrawnWires } from "../plan/contract.ts";
import { partTag } from "../plan/parts.ts";
import { wiresOn } from "../plan/wires.ts";
import type { JobState } from "../store/jobState.ts";
import { keys, useCablingAnswer, useCostAnswer, useStayingAnswer } from "../store/queries.ts";
import { text } from "../text.ts";
import { type Derived, useDerived } from "./derived.tsx";

const t = text.cabling;

export interface WiresState extends Derived<CablingAnswer> {
  drawn: DrawnWires | undefined;
  /** Null while they are not known. */
  batteries: readonly BatteryRow[] | null;
  batteriesError: Error | null;
  cautions: readonly Caution[] | null;
  cautionsError: Error | null;
  againBatteries(): void;
  againCautions(): void;
}

export function useWires(view: JobView, state: JobState, reader: Reader): WiresState {
  const { id, shown, answer: job, house } = state;
  const isPower = view.sheet === "power";
  const isShown = isPower || view.sheet === "cabling";
  const design = isShown ? (shown?.id ?? null) : null;
  const revision = job?.job.revision ?? null;
  const query = useCablingAnswer(id, revision, design);
  const staying = useStayingAnswer(id, revision, isPower ? design : null);
  const cost = useCostAnswer(id, revision, isShown && !isPower ? design : null);
  const cabling = useDerived(query, design, keys.cabling(id), text.derived.cabling.cancelled);
  const data = cabling.answer;
  const { selected } = view;
  const content = useMemo(
    () => (isShown && data && house ? drawnContent(data, house, isPower, reader) : null),
    [isShown, data, house, isPower, reader],
  );
  const drawn = useMemo(
    (): DrawnWires | undefined =>
      content && data ? { ...content, isPower, chosen: wiresOf(data, selected) } : undefined,
    [content, data, isPower, selected],
  );
  return {
    ...cabling,
    drawn,
    batteries: staying.data?.design.id === design ? staying.data.staying.batteries : null,
    batteriesError: isPower && !staying.isFetching ? staying.error : null,
    cautions: cost.data?.design.id === design ? cost.data.cautions : null,
    cautionsError: isShown && !isPower && !cost.isFetching ? cost.error : null,
    againBatteries: useCallback(() => void staying.refetch(), [staying.refetch]),
    againCautions: useCallback(() => void cost.refetch(), [cost.refetch]),
  };
}

type Content = Pick<DrawnWires, "cables" | "holes" | "feeds">;

function drawnContent(answer: CablingAnswer, house: House, isPower: boolean, reader: Reader): Content {
  return {
    cables: drawnCables(answer, isPower, reader),
    holes: isPower ? [] : answer.wiring.holes.map((hole) => drawnHole(answer, hole, reader)),
    feeds: isPower ? drawnFeeds(answer, house) : [],
  };
}

function drawnCables(answer: CablingAnswer, isPower: boolean, reader: Reader): DrawnCable[] {
  const parts = new Set(answer.design.parts.map((part) => part.id));
  const power = new Map<string, number | null>();
  for (const { fed, links } of fedLines(answer)) {
    for (const link of links) power.set(link, fed.at_port.value);
  }
  return cableLines(answer).flatMap(({ row, route, from, to, length: figure, ways }): DrawnCable[] => {
    if (!route) return [];
    const label = labelOf(answer, row.link);
    const far = figure.value === null ? text.unknown : length(figure.value, reader, 1);
    const watts = power.get(row.link);
    const said =
      isPower && watts != null
        ? t.lettering(label, together(quantity(watts, "W", reader)))
        : t.lettering(label, far);
    const last = route.stretches[route.stretches.length - 1];
    return [
      {
        id: row.link,
        lettering: [said, label],
        stretches: route.stretches.map(({ way, from: a, to: b }) => ({
          look: lookOf(way),
          from: a,
          to: b,
          isLow: isBelowGround(way),
        })),
        device: parts.has(to) ? null : (last?.to ?? null),
        isPowered: power.has(row.link),
        text: t.spoken(
          label,
          partTag(from),
          partTag(to),
          far,
          ways.map((way) => text.ways[way] ?? way).join(", "),
        ),
      },
    ];
  });
}

function drawnHole(answer: CablingAnswer, hole: CablingAnswer["wiring"]["holes"][number], reader: Reader) {
  const cables = hole.links.map((link) => labelOf(answer, link)).join(", ");
  const seal = hole.fire_seal ? t.sealed : t.notSealed;
  const drawn: DrawnHole = {
    id: hole.id,
    kind: hole.kind,
    at: hole.at,
    isSealed: hole.fire_seal,
    text: t.spokenHole(hole.id, t.holeKinds[hole.kind], smallLength(hole.diameter, reader), cables, seal),
  };
  return drawn;
}

function drawnFeeds({ design }: CablingAnswer, house: House): DrawnFeed[] {
  return (design.feeds ?? []).flatMap(({ part, source }): DrawnFeed[] => {
    const fed = design.parts.find((placed) => placed.id === part);
    if (!fed || source.from === "poe") return [];
    const what =
      source.from === "battery"
        ? partTag(source.part)
        : source.outlet
          ? `${text.power.feeds.mains} ${source.outlet}`
          : text.power.feeds.mainsNone;
    return [
      {
        part,
        from: source.from,
        to: fed.at,
        source: placeOfSource(design.parts, house, source),
        text: text.power.feeds.spoken(partTag(part), what),
      },
    ];
  });
}

/** The storey on which most of what is selected is drawn; null if it is on the one that is shown, or nowhere. */
export function storeyOfWire(
  answer: CablingAnswer,
  drawn: DrawnWires | undefined,
  house: House,
  selected: Selected | null,
  now: string,
): string | null {
  if (selected?.kind === "hole") {
    const hole = answer.wiring.holes.find(({ id }) => id === selected.id);
    const storey = hole && levelOfHole(house.storeys, hole);
    return storey && storey.id !== now ? storey.id : null;
  }
  if (selected?.kind !== "cable" || !drawn || !routeOf(answer, selected.id)) return null;
  const lengths = house.storeys.map((storey) => {
    const own = wiresOn(house, storey, drawn).runs.filter(({ cables }) => cables.includes(selected.id));
    const metres = own.reduce((sum, { a, b }) => sum + Math.hypot(b[0] - a[0], b[1] - a[1]), 0);
    return { id: storey.id, metres };
  });
  if (lengths.some(({ id, metres }) => id === now && metres > 0)) return null;
  const best = lengths.toSorted((a, b) => b.metres - a.metres)[0];
  return best && best.metres > 0 ? best.id : null;
}
