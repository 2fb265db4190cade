// One storey as a drawing: geometry in metres under one transform, symbols and labels in pixels above it.

import { useMemo } from "react";
import { linePath } from "../geometry/path.ts";
import { inArea } from "../geometry/polygon.ts";
import { screenFromPlan } from "../geometry/view.ts";
import { turnFromWall } from "../geometry/wall-side.ts";
import { CoverageAreas, CoverageLines } from "./CoverageLayer.tsx";
import type { P, PlacedPart, PlanMark, Probe, Storey } from "./contract.ts";
import { LabelLayer } from "./LabelLayer.tsx";
import type { LayoutInput, SheetLayout } from "./layout.ts";
import { linksOn } from "./links.ts";
import { MarksLayer, placingOn } from "./MarksLayer.tsx";
import { MovingMark } from "./MovingMark.tsx";
import { ProbeMark } from "./ProbeMark.tsx";
import { partKind } from "./parts.ts";
import { Patterns, riser, SelectedMark, SelectedShape, StairArrows } from "./SheetMarks.tsx";
import { RoomFloors, StoreyLines } from "./Storey.tsx";
import { DemarcationSymbol, OutletSymbol, PartSymbol } from "./Symbols.tsx";
import { partsOn } from "./spots.ts";
import { BottleneckMark, DeviceMarks, ServedLines } from "./TrafficLayer.tsx";
import { WireLines, WireMarks } from "./WiresLayer.tsx";
import { routedLinks, wiresOn } from "./wires.ts";

type Point = readonly [number, number];

const NO_GAPS: ReadonlyMap<string, readonly [number, number]> = new Map();

export interface StoreySheetProps extends LayoutInput {
  layout: SheetLayout;
  /** Start of the ids in this drawing. */
  prefix: string;
  probe: Probe | null;
  /** The path of the probe that is pointed out. */
  path: number | null;
  label: string;
  /** A part on the way; the layout is without it. */
  moving: { part: PlacedPart; at: P } | null;
  marks?: readonly PlanMark[] | undefined;
}

export function StoreySheet({ layout, ...props }: StoreySheetProps) {
  const { house, storey, view, size, prefix, design, coverage, selected, isMoving } = props;
  const { probe, path, label, moving, kinds, traffic, marks, wires } = props;
  const { labels, spots, devices, entry } = layout;
  const lines = useMemo(() => coverage.flatMap((room) => room.lines), [coverage]);
  const gaps = useMemo(() => {
    if (isMoving) return NO_GAPS;
    const found = new Map<string, readonly [number, number]>();
    for (const [id, place] of labels.placed) {
      const it = labels.labels.get(id);
      const gap = it?.kind === "contour" ? it.gap[place.form ?? 0] : undefined;
      if (it?.kind === "contour" && gap) found.set(it.line.id, [gap[0] / view.k, gap[1] / view.k]);
    }
    return found;
  }, [labels, view.k, isMoving]);
  const here = useMemo(() => {
    const rooms = new Set(house.storeys.flatMap((s) => s.rooms.map((room) => room.id)));
    return partsOn(storey, design, rooms);
  }, [house, storey, design]);
  const linked = useMemo(() => linksOn(design, here, routedLinks(wires)), [design, here, wires]);
  const wired = wiresOn(house, storey, wires);
  const project = (p: Point): Point => screenFromPlan(view, p);
  const turnAt = (at: Point): number => {
    const room = storey.rooms.find((r) => inArea(at, r.outline, r.holes)) ?? nearestRoom(storey, at);
    return room ? turnFromWall(at, room.outline) : 0;
  };
  return (
    <svg width={size.width} height={size.height} role="img" aria-label={label}>
      <defs>
        <Patterns prefix={prefix} k={view.k} />
        <marker
          id={`${prefix}-arrow`}
          viewBox="0 0 10 10"
          refX="9"
          refY="5"
          markerWidth="9"
          markerHeight="9"
          markerUnits="userSpaceOnUse"
          orient="auto"
        >
          <path d="M0.5,1.5L9,5L0.5,8.5" fill="none" stroke="var(--plan-ink)" strokeWidth="0.9" />
        </marker>
      </defs>
      <g className="plan-geometry" transform={`matrix(${view.k} 0 0 ${-view.k} ${view.tx} ${view.ty})`}>
        <RoomFloors storey={storey} />
        <CoverageAreas coverage={coverage} prefix={prefix} patterns={prefix} />
        <CoverageLines lines={lines} gaps={gaps} />
        <StoreyLines house={house} storey={storey} partyPattern={`${prefix}-party`} />
        <SelectedShape storey={storey} selected={selected} />
      </g>
      <StairArrows house={house} storey={storey} view={view} />
      {traffic && (
        <ServedLines
          traffic={traffic}
          devices={devices}
          parts={design?.parts ?? []}
          here={here}
          project={project}
        />
      )}
      {wires && <WireLines wires={wires} on={wired} project={project} />}
      {linked.links.map((link) => {
        const isChosen = traffic?.chosen?.links.has(link.id);
        const kind = isChosen ? `plan-${link.over} plan-chosen-link` : `plan-${link.over}`;
        return <path key={link.id} className={kind} d={linePath(link.points.map(project))} />;
      })}
      {linked.risers.map(({ at, up }) => {
        const [x, y] = project(at);
        return <path key={`${at[0]},${at[1]},${up}`} className="plan-seen" d={riser(x, y, up)} />;
      })}
      {storey.outlets.map((outlet) => {
        const [x, y] = project(outlet.at);
        return <OutletSymbol key={outlet.id} kind={outlet.kind} x={x} y={y} turn={turnAt(outlet.at)} />;
      })}
      {wires && <WireMarks wires={wires} on={wired} project={project} />}
      {entry && <DemarcationSymbol x={entry[0]} y={entry[1]} />}
      {entry && selected?.kind === "demarcation" && (
        <circle className="plan-selected" cx={entry[0]} cy={entry[1]} r="13" />
      )}
      {spots.map((spot) => {
        const [only] = spot.parts.filter((drawn) => drawn.part);
        if (!only?.part) return null;
        const isListed = spot.parts.length > 1 && labels.placed.has(`spot:${spot.id}`);
        const [x, y] = spot.screen;
        if (isListed) return <circle key={spot.id} className="plan-dot" cx={x} cy={y} r="3.2" />;
        const onWall = only.part.mounting === "wall";
        return (
          <PartSymbol
            key={spot.id}
            kind={only.kind}
            x={x}
            y={y}
            turn={onWall ? turnAt([only.part.at[0], only.part.at[1]]) : undefined}
          />
        );
      })}
      {traffic && <DeviceMarks devices={devices} selected={selected} chosen={traffic.chosen} k={view.k} />}
      <LabelLayer labels={labels} />
      {traffic && <BottleneckMark traffic={traffic} layout={layout} links={linked.links} project={project} />}
      {marks && (
        <MarksLayer
          marks={marks}
          placing={placingOn({ layout, storey, links: linked.links, ends: design?.links ?? [], project })}
          links={linked.links}
          k={view.k}
          project={project}
        />
      )}
      {moving && (
        <MovingMark
          part={moving.part}
          kind={kinds?.[moving.part.part] ?? partKind(moving.part.part)}
          at={moving.at}
          turn={moving.part.mounting === "wall" ? turnAt(moving.at) : undefined}
          view={view}
        />
      )}
      <SelectedMark layout={layout} storey={storey} view={view} selected={selected} />
      {probe && probe.storey === storey.id && (
        <ProbeMark probe={probe} storey={storey} view={view} chosen={path} />
      )}
    </svg>
  );
}

function nearestRoom(storey: Storey, at: Point) {
  let best: Storey["rooms"][number] | undefined;
  let distance = Infinity;
  for (const room of storey.rooms) {
    const d = Math.hypot(room.inside[0] - at[0], room.inside[1] - at[1]);
    if (d < distance) {
      distance = d;
      best = room;
    }
  }
  return best;
}
