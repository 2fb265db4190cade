// All storeys at once, stacked at their heights and drawn apart, walls as cut 1.2 m above each floor but
// drawn low. Pressing a storey
// opens it; pressing a part or a keynote selects it.

import { type KeyboardEvent, useCallback, useId, useMemo, useRef, useState } from "react";
import { type Stacked, seen, seenBox, stacked, unseen } from "../geometry/axonometric.ts";
import type { Box, ScreenPoint } from "../geometry/brand.ts";
import { upright } from "../geometry/oriented.ts";
import { linePath, ringPath } from "../geometry/path.ts";
import type { Obstacle } from "../geometry/placement.ts";
import { boxOf, distanceToSegment, inArea } from "../geometry/polygon.ts";
import { planFromScreen, screenFromPlan, type View } from "../geometry/view.ts";
import type { DrawnWires, Storey } from "./contract.ts";
import { coverageOf, type RoomCoverage } from "./coverage.ts";
import { type DeviceSpot, devicesOn, storeyOfPart } from "./devices.ts";
import { MapKey, NorthMark } from "./Foot.tsx";
import { handleKey } from "./keys.ts";
import { LabelLayer } from "./LabelLayer.tsx";
import { AXO, distanceApart, extentOf, LevelBody, UPSTAND, Uprights } from "./Level.tsx";
import { KEYNOTE_RADIUS, MARK_RADIUS, PART_RADIUS } from "./label-style.ts";
import { type SheetLabels, sheetLabels } from "./labels.ts";
import { linksOn } from "./links.ts";
import { MarksKey, MarksLayer, placingOnLevel } from "./MarksLayer.tsx";
import { objectsOf, roomIdsOf } from "./objects.ts";
import type { PlanSheetProps } from "./PlanSheet.tsx";
import { Patterns } from "./SheetMarks.tsx";
import { DemarcationSymbol, PartSymbol } from "./Symbols.tsx";
import { hasDemarcation, partsOn, type Spot, spotsOf } from "./spots.ts";
import { TOOLS_BOX, Tools } from "./Tools.tsx";
import { DeviceMarks, ServedLines, TrafficKey } from "./TrafficLayer.tsx";
import { useSize } from "./useSize.ts";
import { useView } from "./useView.ts";
import { WireLines, WireMarks, WiresKey } from "./WiresLayer.tsx";
import { cableLettering, wireMarks } from "./wire-labels.ts";
import { routedLinks, type StoreyWires, wiresOn } from "./wires.ts";
import { words } from "./words.ts";

type Point = readonly [number, number];

const INSETS = { top: 20, right: 26, bottom: 14, left: 26 };
const NONE: readonly never[] = [];

interface Level extends Stacked<Storey> {
  readonly project: (p: Point) => Point;
  readonly spots: readonly Spot[];
  readonly labels: SheetLabels;
  readonly devices: readonly DeviceSpot[];
  readonly wired: StoreyWires;
}

export function AxonometricSheet(props: PlanSheetProps) {
  const {
    house,
    design,
    map,
    keynotes = NONE,
    selected = null,
    onSelect,
    onStorey,
    title,
    kinds,
    traffic,
    marks,
    wires,
    stale = false,
  } = props;
  const { insets = INSETS } = props;
  const prefix = `plan${useId().replace(/\W/g, "")}`;
  const windowRef = useRef<HTMLDivElement>(null);
  const size = useSize(windowRef);
  const [spoken, setSpoken] = useState("");
  const stack = useMemo(() => stacked(house.storeys, distanceApart(house.storeys)), [house]);
  const bounds = useMemo((): Box => {
    const boxes = stack.levels.map(({ item, height }) => seenBox(AXO, extentOf(item), height));
    const corners = boxes.flatMap((box): Point[] => [
      [box.minX, box.minY],
      [box.maxX, box.maxY + UPSTAND * AXO.rise],
    ]);
    return boxOf(corners);
  }, [stack]);
  const coverage = useMemo((): ReadonlyMap<string, RoomCoverage[]> => {
    const storey = house.storeys.find((s) => s.id === map?.storey);
    return storey && map ? new Map([[storey.id, coverageOf(storey, map)]]) : new Map();
  }, [house, map]);

  const levelsRef = useRef<readonly Level[]>([]);
  const viewRef = useRef<View | null>(null);
  const onTap = useCallback(
    (at: ScreenPoint, isTouch: boolean) => {
      if (!viewRef.current) return;
      const reach = isTouch ? 22 : PART_RADIUS + 4;
      for (const level of [...levelsRef.current].reverse()) {
        for (const keynote of keynotes) {
          const box = level.labels.placed.get(`keynote:${keynote.id}`)?.box;
          if (box && Math.hypot(box.x - at[0], box.y - at[1]) <= Math.max(reach, KEYNOTE_RADIUS)) {
            onSelect?.({ kind: "keynote", id: keynote.id });
            return;
          }
        }
        for (const spot of level.spots) {
          const part = spot.parts.find((drawn) => drawn.part);
          if (part && Math.hypot(spot.screen[0] - at[0], spot.screen[1] - at[1]) <= reach) {
            onSelect?.({ kind: "part", id: part.id });
            return;
          }
        }
        for (const { device, at: place } of level.devices) {
          const [x, y] = level.project(place);
          if (Math.hypot(x - at[0], y - at[1]) > Math.min(reach, MARK_RADIUS + 4)) continue;
          onSelect?.({ kind: "device", id: device.id });
          return;
        }
        for (const { id, at: place } of level.wired.holes) {
          const [x, y] = level.project([place[0], place[1]]);
          if (Math.hypot(x - at[0], y - at[1]) > Math.min(reach, MARK_RADIUS + 4)) continue;
          onSelect?.({ kind: "hole", id });
          return;
        }
        const run = level.wired.runs.find(
          ({ a, b }) => distanceToSegment(at, level.project(a), level.project(b)) <= (isTouch ? 12 : 4),
        );
        if (run) {
          const [first = ""] = run.cables;
          onSelect?.({ kind: "cable", id: first });
          return;
        }
        const p = unseen(AXO, planFromScreen(viewRef.current, at), level.height);
        if (level.item.rooms.some((room) => inArea(p, room.outline, room.holes))) {
          onStorey?.(level.item.id);
          return;
        }
      }
      onSelect?.(null);
    },
    [keynotes, onSelect, onStorey],
  );
  const control = useView({
    window: windowRef,
    bounds,
    size,
    insets,
    units: house.units,
    isToScale: false,
    onTap,
    onHover: ignore,
  });
  const { view } = control;
  viewRef.current = view;
  const levels = useMemo((): Level[] => {
    const rooms = roomIdsOf(house);
    const taken: Obstacle[] = [{ box: TOOLS_BOX }];
    /** The rooms of a storey as they are seen. */
    const floorsOf = ({ item, height }: Stacked<Storey>): Point[][] =>
      item.rooms.map((room) => room.outline.map((p) => screenFromPlan(view, seen(AXO, p, height))));
    // The top storey is nearest to the reader's eye: its labels choose first.
    const done = [...stack.levels].reverse().map(({ item, height }): Level => {
      const project = (p: Point): Point => screenFromPlan(view, seen(AXO, p, height));
      const parts = partsOn(item, design, rooms);
      const devices = traffic ? devicesOn(item, traffic.devices, parts) : NONE;
      const spots = spotsOf(
        parts,
        project,
        18,
        kinds,
        house.demarcation?.storey === item.id ? house.demarcation.at : null,
      );
      const own: Obstacle[] = spots.map((spot) => ({
        box: upright(spot.screen[0], spot.screen[1], 2 * PART_RADIUS, 2 * PART_RADIUS),
        owner: `spot:${spot.id}`,
      }));
      for (const { at } of devices) {
        const [x, y] = project(at);
        own.push({ box: upright(x, y, 2 * MARK_RADIUS, 2 * MARK_RADIUS) });
      }
      const wired = wiresOn(house, item, wires);
      for (const { box } of wireMarks(wired, project)) own.push({ box });
      const lifted = (p: Point): Point => screenFromPlan(view, seen(AXO, p, height + UPSTAND * AXO.rise));
      const labels = sheetLabels({
        rooms: item.rooms,
        units: house.units,
        size,
        project,
        lines: NONE,
        spots,
        keynotes: keynotes.filter((keynote) => keynote.storey === item.id),
        outlets: NONE,
        objects: NONE,
        stairs: NONE,
        demarcation: null,
        cables: wires ? cableLettering(wired, wires, project) : NONE,
        solids: [
          ...item.walls.flatMap((wall) => wall.solids.map((solid) => solid.map(lifted))),
          ...stack.levels.filter((other) => other.item !== item).flatMap(floorsOf),
        ],
        obstacles: [...taken, ...own],
        soft: [
          ...devices.flatMap(({ device, at }) => {
            const part = design?.parts.find(({ id }) => id === device.servedBy);
            return part
              ? [{ a: project(at), b: project([part.at[0], part.at[1]]), cost: 4 + 3 * (device.weight ?? 0) }]
              : [];
          }),
          ...wired.runs.map(({ a, b }) => ({ a: project(a), b: project(b), cost: 14 })),
        ],
        selected,
        title: {
          text: item.name,
          corners: [
            [extentOf(item).minX, extentOf(item).minY],
            [extentOf(item).minX, extentOf(item).maxY],
          ].map(([x = 0, y = 0]) => project([x, y])),
        },
      });
      taken.push(...own);
      for (const place of labels.placed.values()) taken.push({ box: place.box });
      return { item, height, project, spots, labels, devices, wired };
    });
    return done.reverse();
  }, [house, stack, view, size, design, kinds, keynotes, traffic, wires, selected]);
  levelsRef.current = levels;

  const objects = useMemo(
    () =>
      [...house.storeys]
        .sort((a, b) => a.floor_z - b.floor_z)
        .flatMap((s) => objectsOf(house, s, design, keynotes, { traffic, marks, wires })),
    [house, design, keynotes, traffic, marks, wires],
  );
  const goTo = (step: 1 | -1): void => {
    const now = objects.findIndex(
      (o) => o.selection.kind === selected?.kind && o.selection.id === selected.id,
    );
    const object =
      objects[now < 0 ? (step > 0 ? 0 : objects.length - 1) : (now + step + objects.length) % objects.length];
    if (!object) return;
    onSelect?.(object.selection);
    setSpoken(words.selected(object.text));
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.target !== event.currentTarget || event.altKey || event.metaKey) return;
    const far = event.shiftKey ? 160 : 40;
    const pan: Readonly<Record<string, Point>> = {
      ArrowLeft: [far, 0],
      ArrowRight: [-far, 0],
      ArrowUp: [0, far],
      ArrowDown: [0, -far],
    };
    const by = pan[event.key];
    if (by) control.pan(by[0], by[1]);
    else if (
      event.ctrlKey ||
      !handleKey(event.key, {
        larger: () => control.step(1),
        smaller: () => control.step(-1),
        fit: control.fit,
        next: () => goTo(1),
        previous: () => goTo(-1),
        storey: (id) => onStorey?.(id),
        clear: () => onSelect?.(null),
        choose: ignore,
        house,
        now: "all",
      })
    )
      return;
    event.preventDefault();
  };
  const isReady = size.width > 0 && size.height > 0;
  const label = `${title}, ${words.all.toLowerCase()}`;
  return (
    <div className={stale ? "plan plan-stale" : "plan"}>
      <div
        ref={windowRef}
        className="plan-window plan-window-all"
        role="application"
        aria-roledescription={words.plan}
        aria-label={label}
        aria-describedby={`${prefix}-keys`}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a drawing that is worked with keys
        tabIndex={0}
        data-panning={control.isPanning}
        onKeyDown={onKeyDown}
        {...control.pointer}
      >
        {isReady && (
          <svg width={size.width} height={size.height} role="img" aria-label={label}>
            <defs>
              <Patterns prefix={prefix} k={view.k} />
            </defs>
            <g className="plan-geometry" transform={`matrix(${view.k} 0 0 ${-view.k} ${view.tx} ${view.ty})`}>
              {levels.map(({ item, height }, index) => (
                <g key={item.id}>
                  {index > 0 && <Uprights storey={item} below={levels[index - 1]} to={height} />}
                  <LevelBody
                    house={house}
                    storey={item}
                    height={height}
                    coverage={coverage.get(item.id) ?? NONE}
                    prefix={`${prefix}-${index}`}
                    patterns={prefix}
                  />
                </g>
              ))}
            </g>
            {wires && <Between levels={levels} wires={wires} />}
            {levels.map((level) => (
              <LevelMarks key={level.item.id} level={level} levels={levels} k={view.k} props={props} />
            ))}
          </svg>
        )}
      </div>
      <Tools onLarger={() => control.step(1)} onSmaller={() => control.step(-1)} onFit={control.fit} />
      {stale && <div className="plan-stale-note">{words.stale}</div>}
      <div className="plan-foot">
        <NorthMark deg={house.north_deg - (AXO.turn * 180) / Math.PI} />
        {traffic && <TrafficKey traffic={{ ...traffic, bottleneck: null }} />}
        {marks && <MarksKey marks={marks} />}
        {wires && <WiresKey wires={wires} on={levels.map(({ wired }) => wired)} />}
        {map && coverage.size > 0 && <MapKey map={map} widest={size.width - 28} />}
        <div className="plan-foot-notes">{words.apart}</div>
      </div>
      <div id={`${prefix}-keys`} className="plan-unseen">
        {words.keys}
      </div>
      <div className="plan-unseen" role="status" aria-live="polite">
        {spoken}
      </div>
    </div>
  );
}

const ignore = (): void => undefined;

/** Where cables go from storey to storey: upright lines between the same place on both. */
function Between({ levels, wires }: { levels: readonly Level[]; wires: DrawnWires }) {
  const { chosen } = wires;
  return levels.flatMap((level, index) =>
    level.wired.rises
      .filter(({ up }) => up)
      .flatMap(({ at, cables }) => {
        const over = levels
          .slice(index + 1)
          .find(({ wired }) =>
            wired.rises.some((mark) => mark.down && Math.hypot(mark.at[0] - at[0], mark.at[1] - at[1]) < 0.2),
          );
        if (!over) return [];
        const isChosen = chosen !== null && cables.some((id) => chosen.cables.has(id));
        const state = isChosen ? "chosen" : chosen !== null ? "light" : "plain";
        return (
          <path
            key={`${level.item.id} ${at}`}
            className={`plan-wire plan-wire-rise plan-wire-${state}`}
            d={linePath([level.project(at), over.project(at)])}
          />
        );
      }),
  );
}

interface LevelMarksProps {
  level: Level;
  levels: readonly Level[];
  k: number;
  props: PlanSheetProps;
}

function LevelMarks({ level, levels, k, props }: LevelMarksProps) {
  const { item, project, spots, labels, devices, wired } = level;
  const { house, design, selected = null, traffic, marks, wires } = props;
  const here = partsOn(item, design, roomIdsOf(house));
  const { links } = linksOn(design, here, routedLinks(wires));
  const room = selected?.kind === "room" ? item.rooms.find((r) => r.id === selected.id) : undefined;
  const note = selected?.kind === "keynote" ? labels.placed.get(`keynote:${selected.id}`)?.box : undefined;
  const holeAt = selected?.kind === "hole" ? wired.holes.find(({ id }) => id === selected.id)?.at : undefined;
  const hole = holeAt && project([holeAt[0], holeAt[1]]);
  const spot =
    selected?.kind === "part"
      ? spots.find((s) => s.parts.some((p) => p.part?.id === selected.id))
      : undefined;
  return (
    <>
      {room && <path className="plan-selected-room" d={ringPath(room.outline.map(project))} />}
      {traffic && (
        <ServedLines
          traffic={traffic}
          devices={devices}
          parts={design?.parts ?? NONE}
          here={here}
          project={project}
          projectPart={(part) => {
            const storey = storeyOfPart(house, part);
            const own = levels.find((other) => other.item === storey) ?? level;
            return own.project([part.at[0], part.at[1]]);
          }}
        />
      )}
      {wires && <WireLines wires={wires} on={wired} project={project} />}
      {wires && <WireMarks wires={wires} on={wired} project={project} />}
      {links.map((link) => (
        <path key={link.id} className={`plan-${link.over}`} d={linePath(link.points.map(project))} />
      ))}
      {house.demarcation?.storey === item.id && !hasDemarcation(spots) && (
        <DemarcationSymbol x={project(house.demarcation.at)[0]} y={project(house.demarcation.at)[1]} />
      )}
      {spots.map(({ id, screen, parts }) =>
        parts[0] && !(parts.length > 1 && labels.placed.has(`spot:${id}`)) ? (
          <PartSymbol key={id} kind={parts[0].kind} x={screen[0]} y={screen[1]} />
        ) : (
          <circle key={id} className="plan-dot" cx={screen[0]} cy={screen[1]} r="3.2" />
        ),
      )}
      {traffic && (
        <DeviceMarks
          devices={devices.map(({ device, at }) => ({ device, screen: project(at) }))}
          selected={selected}
          chosen={traffic.chosen}
          k={k}
        />
      )}
      <LabelLayer labels={labels} />
      {marks && (
        <MarksLayer
          marks={marks}
          placing={placingOnLevel({ house, storey: item, parts: here, devices, links, project })}
          links={links}
          k={k}
          project={project}
        />
      )}
      {hole && <circle className="plan-selected" cx={hole[0]} cy={hole[1]} r="11" />}
      {note && <circle className="plan-selected" cx={note.x} cy={note.y} r="15" />}
      {spot && <circle className="plan-selected" cx={spot.screen[0]} cy={spot.screen[1]} r="14" />}
    </>
  );
}
