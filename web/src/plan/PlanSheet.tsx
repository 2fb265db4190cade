// The plan of a house as a working drawing: one storey to scale, or all of them stacked. It draws from its props only;
// what is chosen, probed or shown is told to the caller, who decides.

import { type KeyboardEvent, useCallback, useEffect, useId, useMemo, useRef, useState } from "react";
import { type Box, planPoint, type ScreenPoint, screenPoint } from "../geometry/brand.ts";
import { upright } from "../geometry/oriented.ts";
import { scaleName, scaleNumber } from "../geometry/scale.ts";
import { type Insets, planFromScreen, screenFromPlan, type View } from "../geometry/view.ts";
import { AxonometricSheet } from "./AxonometricSheet.tsx";
import type {
  CoverageMap,
  Design,
  DrawnWires,
  House,
  Keynote,
  PlacedPart,
  PlanMark,
  Probe,
  Selection,
  Storey,
  Traffic,
} from "./contract.ts";
import { coverageOf } from "./coverage.ts";
import { Foot } from "./Foot.tsx";
import { hit } from "./hit.ts";
import { handleKey } from "./keys.ts";
import { type DeviceMark, useSheetLayout } from "./layout.ts";
import { linksOn } from "./links.ts";
import { type Moved, withMoved, withoutPart } from "./MovingMark.tsx";
import { objectsOf, roomIdsOf } from "./objects.ts";
import { PartHandle, type PartMoveDoors } from "./PartHandle.tsx";
import { ProbeCallout, probeSentence } from "./ProbeCallout.tsx";
import type { PartKind } from "./parts.ts";
import { type PartBox, partBox } from "./SheetMarks.tsx";
import { StoreySheet } from "./StoreySheet.tsx";
import { partsOn } from "./spots.ts";
import { TOOLS_BOX, Tools } from "./Tools.tsx";
import { useSize } from "./useSize.ts";
import { useView } from "./useView.ts";
import { routedLinks, wiresOn } from "./wires.ts";
import { wireWords, words } from "./words.ts";
import "./plan.css";

export interface PlanSheetProps {
  house: House;
  /** Id of the storey, or `all` for the stacked view. */
  storey: string | "all";
  design?: Design | undefined;
  map?: CoverageMap | undefined;
  /** True while the map shown is not that of the present revision. */
  stale?: boolean | undefined;
  keynotes?: readonly Keynote[] | undefined;
  selected?: Selection | null | undefined;
  onSelect?: ((selection: Selection | null) => void) | undefined;
  probe?: Probe | null | undefined;
  /** The path of the probe that is pointed out, by its place among them. */
  path?: number | null | undefined;
  /** True while the probe stays where it was put, and the pointer does not move it. */
  isProbeHeld?: boolean | undefined;
  /** Called with where a click puts the probe to stay; null when a click on it lets it go. */
  onHold?: ((at: readonly [number, number] | null, storey: string) => void) | undefined;
  /** Called with where the probe is, at most once a frame; null when it is taken away. */
  onProbe?: ((at: readonly [number, number] | null, storey: string) => void) | undefined;
  /** A part that is thought elsewhere than the design has it. */
  moved?: Moved | null | undefined;
  /** With these a selected part can be taken elsewhere. */
  moveDoors?: PartMoveDoors | undefined;
  /** What the network carries in the busy hour. */
  traffic?: Traffic | undefined;
  /** What is marked of a cut, of what is off, or of a line of a schedule. */
  marks?: readonly PlanMark[] | undefined;
  /** How cables run, and what feeds what. */
  wires?: DrawnWires | undefined;
  onStorey?: ((storey: string) => void) | undefined;
  /** Name of the sheet, for people who hear it. */
  title: string;
  /** Kinds of parts that the job defines itself, by equipment id. */
  kinds?: Readonly<Record<string, PartKind>> | undefined;
  /** Room kept free around the drawing [px]. */
  insets?: Insets | undefined;
}

const INSETS: Insets = { top: 26, right: 26, bottom: 18, left: 26 };
const NO_COVERAGE: ReturnType<typeof coverageOf> = [];
const NO_KEYNOTES: readonly Keynote[] = [];
/** Steps of the probe by keys, and with Shift [m]. */
const STEP = 0.25;
const LONG_STEP = 1;
/** Steps of the drawing by keys [px]. */
const PAN = 40;

export function PlanSheet(props: PlanSheetProps) {
  if (props.storey === "all") return <AxonometricSheet {...props} />;
  const storey = props.house.storeys.find((s) => s.id === props.storey) ?? props.house.storeys[0];
  if (!storey) return null;
  return <OneStorey {...props} storeyData={storey} />;
}

function OneStorey(props: PlanSheetProps & { storeyData: Storey }) {
  const {
    house,
    storeyData: storey,
    map,
    stale = false,
    selected = null,
    probe = null,
    path = null,
    isProbeHeld = false,
    moved = null,
    moveDoors,
    title,
    kinds,
    traffic,
    marks,
    wires,
  } = props;
  const { onSelect, onProbe, onHold, onStorey, insets = INSETS } = props;
  const keynotes = useOnStorey(props.keynotes ?? NO_KEYNOTES, storey.id);
  const prefix = `plan${useId().replace(/\W/g, "")}`;
  const windowRef = useRef<HTMLDivElement>(null);
  const size = useSize(windowRef);
  const bounds = useMemo((): Box => boundsOf(house), [house]);
  const shownMap = map && map.storey === storey.id ? map : undefined;
  const coverage = useMemo(() => (shownMap ? coverageOf(storey, shownMap) : []), [storey, shownMap]);
  const design = useMemo(() => withMoved(props.design, moved), [props.design, moved]);
  // While a part is on the way, all else stands still: labels are laid out without it and without what changes.
  const heldPart = moved?.isHeld ? moved.part : null;
  const without = useMemo(
    () => (heldPart === null ? null : withoutPart(props.design, heldPart)),
    [heldPart, props.design],
  );
  const still = heldPart === null ? design : (without ?? undefined);
  const [spoken, setSpoken] = useState("");
  const probeAt = useRef<readonly [number, number] | null>(null);
  const frame = useRef(0);
  const byKey = useRef(false);

  const tellProbe = useCallback(
    (at: readonly [number, number] | null) => {
      probeAt.current = at;
      if (!onProbe || frame.current !== 0) return;
      frame.current = requestAnimationFrame(() => {
        frame.current = 0;
        onProbe(probeAt.current, storey.id);
      });
    },
    [onProbe, storey.id],
  );
  useEffect(() => () => cancelAnimationFrame(frame.current), []);

  const hasNote = stale || heldPart !== null;
  const covered = useMemo(() => {
    const note = { box: upright(size.width - 178, 27, 356, 36) };
    return hasNote ? [{ box: TOOLS_BOX }, note] : [{ box: TOOLS_BOX }];
  }, [hasNote, size.width]);
  const layoutRef = useRef<ReturnType<typeof useSheetLayout> | null>(null);
  const viewRef = useRef<ReturnType<typeof useView>["view"] | null>(null);
  const onTap = useCallback(
    (at: ScreenPoint, isTouch: boolean) => {
      const layout = layoutRef.current;
      const view = viewRef.current;
      if (!layout || !view) return;
      if (isTouch) tellProbe(planFromScreen(view, at));
      else if (isProbeHeld && probe && isNear(screenFromPlan(view, probe.at), at)) onHold?.(null, storey.id);
      else onHold?.(planFromScreen(view, at), storey.id);
      onSelect?.(hit(at, isTouch, storey, keynotes, layout, view, selected));
    },
    [onSelect, tellProbe, onHold, isProbeHeld, probe, storey, keynotes, selected],
  );
  const onHover = useCallback(
    (at: ScreenPoint) => {
      if (viewRef.current && !isProbeHeld) tellProbe(planFromScreen(viewRef.current, at));
    },
    [tellProbe, isProbeHeld],
  );
  const control = useView({ window: windowRef, bounds, size, insets, units: house.units, onTap, onHover });
  const { view } = control;
  const layout = useSheetLayout({
    house,
    storey,
    view,
    size,
    design: still,
    kinds,
    coverage: heldPart === null ? coverage : NO_COVERAGE,
    keynotes,
    selected,
    traffic,
    wires,
    covered,
    isMoving: control.isMoving || heldPart !== null,
  });
  layoutRef.current = layout;
  viewRef.current = view;

  const objects = useMemo(
    () => objectsOf(house, storey, design, keynotes, { traffic, marks, wires }),
    [house, storey, design, keynotes, traffic, marks, wires],
  );
  /** Moves the drawing so that a place is in the window. */
  const bringIn = (at: readonly [number, number]): void => {
    const [x, y] = screenFromPlan(view, planPoint(at[0], at[1]));
    const dx = x < 40 ? 80 - x : x > size.width - 40 ? size.width - 80 - x : 0;
    const dy = y < 40 ? 80 - y : y > size.height - 40 ? size.height - 80 - y : 0;
    if (dx !== 0 || dy !== 0) control.pan(dx, dy);
  };
  const goTo = (step: 1 | -1): void => {
    if (!onSelect || objects.length === 0) return;
    const now = objects.findIndex(
      (o) => o.selection.kind === selected?.kind && o.selection.id === selected.id,
    );
    const next =
      now < 0 ? (step > 0 ? 0 : objects.length - 1) : (now + step + objects.length) % objects.length;
    const object = objects[next];
    if (!object) return;
    onSelect(object.selection);
    setSpoken(words.selected(object.text));
    bringIn(object.at);
  };
  const moveProbe = (dx: number, dy: number): void => {
    const middle = planFromScreen(view, screenPoint(size.width / 2, size.height / 2));
    const from = probe?.storey === storey.id ? probe.at : (probeAt.current ?? middle);
    // Steps stay on a grid of their own, so that the same keys lead to the same place.
    const to = planPoint(snap(from[0] + dx), snap(from[1] + dy));
    tellProbe(to);
    bringIn(to);
    byKey.current = true;
  };

  useEffect(() => {
    if (!byKey.current || !probe) return;
    byKey.current = false;
    setSpoken(probeSentence(probe, house, shownMap?.quantity ?? "level"));
  }, [probe, house, shownMap]);

  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.target !== event.currentTarget || event.altKey || event.metaKey) return;
    const arrow = ARROWS[event.key];
    if (arrow) {
      event.preventDefault();
      const [x, y] = arrow;
      if (!onProbe || event.ctrlKey) {
        const far = event.shiftKey ? 4 * PAN : PAN;
        control.pan(-x * far, y * far);
      } else {
        const far = event.shiftKey ? LONG_STEP : STEP;
        moveProbe(x * far, y * far);
      }
      return;
    }
    if (event.ctrlKey) return;
    const handled = handleKey(event.key, {
      larger: () => control.step(1),
      smaller: () => control.step(-1),
      fit: control.fit,
      next: () => goTo(1),
      previous: () => goTo(-1),
      storey: (id) => onStorey?.(id),
      clear: () => {
        onSelect?.(null);
        onHold?.(null, storey.id);
        tellProbe(null);
        setSpoken(words.nothingSelected);
      },
      choose: () => {
        const at = probeAt.current;
        if (!at) return;
        const found = hit(screenFromPlan(view, at), false, storey, keynotes, layout, view);
        onSelect?.(found);
        const object = objects.find((o) => o.selection.kind === found?.kind && o.selection.id === found.id);
        setSpoken(object ? words.selected(object.text) : words.nothingSelected);
      },
      house,
      now: storey.id,
    });
    if (handled) event.preventDefault();
  };

  const held = heldPart === null ? undefined : props.design?.parts.find((part) => part.id === heldPart);
  const taken =
    moveDoors && selected?.kind === "part"
      ? partsOn(storey, design, roomIdsOf(house)).find((part) => part.id === selected.id)
      : undefined;
  const takenBox = taken && (held ? movingBox(view, taken) : partBox(layout, taken.id));
  const server = probe && design?.parts.find((part) => part.id === probe.part);
  const servedFrom = server ? screenFromPlan(view, planPoint(server.at[0], server.at[1])) : null;
  const links = useMemo(
    () => linksOn(design, partsOn(storey, design, roomIdsOf(house)), routedLinks(wires)),
    [house, storey, design, wires],
  );
  const notes: string[] = [];
  if (links.links.length > 0 || links.risers.length > 0) notes.push(words.schematic);
  if (links.numNotDrawn > 0 && wires) notes.push(wireWords.notLaid(links.numNotDrawn));
  else if (links.numNotDrawn > 0 && !traffic) notes.push(words.notDrawn(links.numNotDrawn));
  const numUnlettered = control.isMoving
    ? 0
    : layout.cables.filter(({ id }) => !layout.labels.placed.has(`cable:${id}`)).length;
  if (numUnlettered > 0) notes.push(wireWords.unlettered(numUnlettered));
  if (traffic && layout.devices.length > 0) notes.push(...deviceNotes(layout.devices));
  const extent = { width: bounds.maxX - bounds.minX, height: bounds.maxY - bounds.minY };
  const label = `${title}, ${storey.name}, ${scaleName(scaleNumber(view.k), house.units)}`;
  const isReady = size.width > 0 && size.height > 0;
  return (
    <div className={stale ? "plan plan-stale" : moved?.isBehind ? "plan plan-behind" : "plan"}>
      <div
        ref={windowRef}
        className="plan-window"
        role="application"
        aria-roledescription={words.plan}
        aria-label={label}
        aria-describedby={`${prefix}-keys`}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a drawing that is worked with keys
        tabIndex={0}
        data-panning={control.isPanning}
        onKeyDown={onKeyDown}
        onPointerLeave={(event) => {
          // A finger leaves whenever it lifts; its probe stays.
          if (event.pointerType !== "touch" && !isProbeHeld) tellProbe(null);
        }}
        {...control.pointer}
      >
        {isReady && (
          <StoreySheet
            layout={layout}
            house={house}
            storey={storey}
            view={view}
            size={size}
            prefix={prefix}
            design={design}
            kinds={kinds}
            coverage={coverage}
            keynotes={keynotes}
            selected={selected}
            traffic={traffic}
            marks={marks}
            wires={wires}
            probe={probe}
            path={path}
            label={label}
            covered={covered}
            moving={held && moved ? { part: held, at: moved.at } : null}
            isMoving={control.isMoving || heldPart !== null}
          />
        )}
        {isReady && probe && probe.storey === storey.id && (
          <ProbeCallout
            probe={probe}
            house={house}
            map={shownMap}
            at={screenFromPlan(view, probe.at)}
            from={servedFrom}
            size={size}
          />
        )}
        {isReady && moveDoors && taken && takenBox && (
          <PartHandle
            key={taken.id}
            part={taken}
            storey={storey}
            view={view}
            box={takenBox}
            isHeld={heldPart === taken.id}
            onTap={(event) => {
              const frame = windowRef.current?.getBoundingClientRect();
              const at = screenPoint(event.clientX - (frame?.left ?? 0), event.clientY - (frame?.top ?? 0));
              onTap(at, event.pointerType === "touch");
            }}
            describedBy={`${prefix}-handle`}
            {...moveDoors}
          />
        )}
      </div>
      <Tools onLarger={() => control.step(1)} onSmaller={() => control.step(-1)} onFit={control.fit} />
      {hasNote && <div className="plan-stale-note">{heldPart === null ? words.stale : words.coarse}</div>}
      <Foot
        k={view.k}
        units={house.units}
        northDeg={house.north_deg}
        extent={extent}
        map={shownMap}
        traffic={traffic}
        marks={marks}
        wires={wires && { drawn: wires, on: [wiresOn(house, storey, wires)] }}
        hasBelow={coverage.some((room) => room.below !== null)}
        hasNone={coverage.some((room) => room.none !== null)}
        notes={notes}
        width={size.width}
      />
      <div id={`${prefix}-keys`} className="plan-unseen">
        {words.keys}
      </div>
      <div id={`${prefix}-handle`} className="plan-unseen">
        {words.handleKeys}
      </div>
      <div className="plan-unseen" role="status" aria-live="polite">
        {spoken}
      </div>
    </div>
  );
}

const ARROWS: Readonly<Record<string, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

/** What the reader must know of the devices that are drawn. */
function deviceNotes(devices: readonly DeviceMark[]): string[] {
  const byRadio = devices.filter(({ device }) => device.joins === "radio" && device.says === undefined);
  const served = byRadio.filter(({ device }) => device.servedBy !== null);
  return [
    ...(devices.some(({ device }) => device.at === null) ? [words.middles] : []),
    ...(byRadio.length > 0 && served.length === 0 ? [words.unserved] : []),
    ...(served.length > 0 && served.every(({ device }) => device.weight === null) ? [words.unweighed] : []),
  ];
}

/** Where a part on the way is [px]. */
function movingBox(view: View, part: PlacedPart): PartBox {
  const [x, y] = screenFromPlan(view, planPoint(part.at[0], part.at[1]));
  return { x, y, w: 28, h: 28, isListed: false };
}

/** Whether a click is on the probe's cross [px]. */
const isNear = (a: ScreenPoint, b: ScreenPoint): boolean => Math.hypot(a[0] - b[0], a[1] - b[1]) <= 8;

const snap = (n: number): number => Math.round(n / STEP) * STEP;

export const boundsOf = (house: House): Box => ({
  minX: house.bounds.min[0],
  minY: house.bounds.min[1],
  maxX: house.bounds.max[0],
  maxY: house.bounds.max[1],
});

function useOnStorey(keynotes: readonly Keynote[], storey: string): readonly Keynote[] {
  return useMemo(() => keynotes.filter((keynote) => keynote.storey === storey), [keynotes, storey]);
}
