/** The drawing of a sheet: its bar, the plan, and the schedule under it. */

import { useCallback, useMemo, useState } from "react";
import type { JobView } from "../document/address.ts";
import { renameRoom, setWallAssembly } from "../document/edits.ts";
import { figureOf } from "../document/figures.ts";
import { length, type Reader } from "../document/format.ts";
import type { Keynote } from "../document/keynotes.ts";
import { storeysFromTop } from "../document/storeys.ts";
import type { CoverageMap, Design, House, JobAnswer, JobDocument, Room } from "../engine/types.ts";
import { CapacityPanel } from "../features/capacity/CapacityPanel.tsx";
import { CapacitySchedules } from "../features/capacity/Schedules.tsx";
import { CoverageBar } from "../features/coverage/CoverageBar.tsx";
import { CoverageTable } from "../features/coverage/CoverageTable.tsx";
import { ProbePanel } from "../features/coverage/ProbePanel.tsx";
import { Details } from "../features/house/Details.tsx";
import { RoomsTable } from "../features/house/RoomsTable.tsx";
import { thingName } from "../features/resilience/words.ts";
import type { Selection, Traffic } from "../plan/contract.ts";
import { withMoved } from "../plan/MovingMark.tsx";
import { PlanSheet } from "../plan/PlanSheet.tsx";
import { PlanTable } from "../plan/PlanTable.tsx";
import { partTag } from "../plan/parts.ts";
import { announce } from "../store/announce.ts";
import type { JobState } from "../store/jobState.ts";
import { goWithin, refineWithin } from "../store/navigation.ts";
import { pendingEdits } from "../store/outbox.ts";
import { useWork } from "../store/queries.ts";
import { text } from "../text.ts";
import { Choice } from "../ui/Choice.tsx";
import { Failure, Notice } from "../ui/Notice.tsx";
import { Working } from "../ui/Working.tsx";
import { type CapacityState, drawnSelection, selectedOf } from "./capacity.ts";
import { CostMargin, CostSchedule, useCost, useCostMarks } from "./cost.tsx";
import type { CoverageState } from "./coverage.ts";
import { DerivedUnfinished, DerivedWork } from "./derived.tsx";
import { symbolsOf } from "./drawing.ts";
import { OptionsSheetSchedule } from "./OptionsSheet.tsx";
import {
  componentAt,
  StayMargin,
  StaySchedule,
  SwitchMode,
  switchThing,
  useStayDrawing,
  useStaying,
  useWhatIfAnnounced,
} from "./resilience.tsx";
import { isWireSheet, WireMargin, WireSchedule, WiresUnfinished } from "./WireSheets.tsx";
import type { WiresState } from "./wires.ts";

interface SheetProps {
  view: JobView;
  state: JobState;
  answer: JobAnswer;
  reader: Reader;
  coverage: CoverageState;
  capacity: CapacityState;
  wires: WiresState;
}

interface DrawingProps extends SheetProps {
  keynotes: Keynote[];
  hasSchedule: boolean;
  onToggleSchedule(): void;
  /** Told of the element that the plan is drawn in. */
  onDrawing(element: HTMLElement | null): void;
}

function showStorey(house: House, storey: string): void {
  goWithin({ storey });
  const name = house.storeys.find((s) => s.id === storey)?.name ?? text.job.allStoreysLong;
  announce(text.job.storeyShown(name));
}

export function Sheet(props: DrawingProps) {
  const { view, state, coverage, capacity, wires, keynotes, hasSchedule, onToggleSchedule } = props;
  const { house, houseError, shown } = state;
  const isCapacity = view.sheet === "capacity";
  const isCoverage = view.sheet === "coverage";
  const storey = isCoverage ? coverage.storey : state.storey;
  const marks = useMemo(
    () =>
      keynotes.flatMap(({ n, severity, id, storey: on, at }) =>
        on !== null && at !== null ? [{ n, severity, id, storey: on, at }] : [],
      ),
    [keynotes],
  );
  const { document } = props.answer;
  const kinds = useMemo(() => symbolsOf(document), [document]);
  const { follow, hold } = coverage;
  const onProbe = useCallback(
    (at: readonly [number, number] | null, on: string) => follow(at === null ? null : [at[0], at[1]], on),
    [follow],
  );
  const onHold = useCallback(
    (at: readonly [number, number] | null, on: string) => hold(at === null ? null : [at[0], at[1]], on),
    [hold],
  );
  const cost = useCost(view, state);
  const costMarks = useCostMarks(view, state, cost);
  const stay = useStaying(view, state, props.reader);
  const staying = useStayDrawing(view, stay);
  useWhatIfAnnounced(stay);
  const [isSwitching, setSwitching] = useState(false);
  const { components, known } = stay;
  const { off } = view;
  const line =
    capacity.answer?.capacity.line?.line ?? components.find(({ kind }) => kind === "line")?.id ?? null;
  const onSelect = useCallback(
    (selection: Selection | null) => {
      const thing = isSwitching && known ? componentAt(selection, components) : null;
      if (thing && known) switchThing(off, thing.id, thingName(thing, known));
      else refineWithin({ selected: selectedOf(selection, line) });
    },
    [line, isSwitching, components, known, off],
  );
  const selected = useMemo(
    () => drawnSelection(view.selected, capacity.answer),
    [view.selected, capacity.answer],
  );
  const onStorey = useCallback((next: string) => house && showStorey(house, next), [house]);
  if (!house) {
    return houseError ? (
      <Failure error={houseError} title={text.job.failedHouse} onAgain={state.reload} />
    ) : (
      <p className="page-loading">{text.job.loading}</p>
    );
  }
  return (
    <>
      <div className="sheet-bar">
        <StoreyChoice house={house} storey={storey} hasAll={!isCoverage} />
        {isCoverage && (
          <CoverageBar
            band={view.band}
            quantity={view.quantity}
            onBand={(band) => goWithin({ band })}
            onQuantity={(quantity) => goWithin({ quantity })}
          />
        )}
        {view.sheet === "resilience" && <SwitchMode isSwitching={isSwitching} onChange={setSwitching} />}
      </div>
      <Unfinished state={state} coverage={coverage} isCoverage={isCoverage} capacity={capacity} />
      <DerivedUnfinished of={cost} words={text.derived.cost} />
      <DerivedUnfinished of={stay} words={text.derived.staying} />
      <WiresUnfinished wires={wires} />
      <div className="drawing" ref={props.onDrawing}>
        <PlanSheet
          house={house}
          storey={storey}
          design={shown && view.sheet !== "house" ? shown.design : undefined}
          map={isCoverage ? (coverage.map ?? undefined) : undefined}
          stale={
            (isCoverage && coverage.map !== null && coverage.isStale) ||
            (isCapacity && capacity.answer !== null && capacity.isStale) ||
            (cost.answer !== null && cost.isStale) ||
            (stay.answer !== null && stay.isStale) ||
            (wires.answer !== null && wires.isStale)
          }
          keynotes={marks}
          selected={selected}
          onSelect={onSelect}
          traffic={capacity.traffic ?? staying.traffic}
          marks={costMarks ?? staying.marks}
          wires={wires.drawn}
          probe={coverage.probe}
          path={coverage.path}
          isProbeHeld={coverage.isHeld}
          moved={isCoverage ? coverage.moved : null}
          moveDoors={isCoverage && shown ? coverage.moveDoors : undefined}
          onProbe={isCoverage && shown ? onProbe : undefined}
          onHold={isCoverage && shown ? onHold : undefined}
          onStorey={onStorey}
          title={text.sheets[view.sheet]}
          kinds={kinds}
        />
      </div>
      <div className="schedule-head">
        <h2>{scheduleName(view)}</h2>
        {isCoverage && <MoveNote view={view} state={state} moves={coverage.moves} reader={props.reader} />}
        <Underway state={state} coverage={coverage} isCoverage={isCoverage} capacity={capacity} />
        {!state.planning.isWorking && (
          <>
            <DerivedWork of={wires} words={text.derived.cabling} />
            <DerivedWork of={cost} words={text.derived.cost} />
            <DerivedWork of={stay} words={text.derived.staying} />
          </>
        )}
        <button
          type="button"
          className="button quiet"
          aria-label={hasSchedule ? text.schedule.hide : text.schedule.show}
          aria-expanded={hasSchedule}
          aria-controls="schedule"
          onClick={onToggleSchedule}
        >
          {hasSchedule ? text.schedule.hideShort : text.schedule.showShort}
        </button>
      </div>
      {hasSchedule && (
        <section
          id="schedule"
          className={view.sheet === "options" ? "sheet-schedule tall" : "sheet-schedule"}
          aria-label={scheduleName(view)}
        >
          {view.sheet === "house" && <HouseSchedule {...props} house={house} />}
          {view.sheet === "options" && <OptionsSheetSchedule {...props} />}
          {isCoverage && <CoverageSchedule {...props} house={house} />}
          {isCapacity && <CapacitySchedule {...props} house={house} />}
          {view.sheet === "cost" && <CostSchedule {...props} cost={cost} />}
          {view.sheet === "resilience" && <StaySchedule {...props} stay={stay} />}
          {isWireSheet(view) && (
            <WireSchedule
              {...props}
              house={house}
              storeyOf={(picked) =>
                shown && storeyOf(drawnSelection(picked, null), house, shown.design, document)
              }
            />
          )}
          {view.sheet !== "options" && (
            <WholePlan
              {...props}
              house={house}
              map={isCoverage ? coverage.map : null}
              traffic={capacity.traffic ?? staying.traffic}
              onSelect={onSelect}
            />
          )}
        </section>
      )}
    </>
  );
}

function scheduleName(view: JobView): string {
  if (view.sheet === "house") return text.house.schedule;
  if (view.sheet === "capacity") return text.capacity.scheduleTitles[view.schedule];
  if (view.sheet === "cost") return text.cost.partTitles[view.costPart];
  if (view.sheet === "resilience") return text.resilience.partTitles[view.stayPart];
  if (view.sheet === "cabling") return text.cabling.partTitles[view.cablingPart];
  if (view.sheet === "power") return text.power.partTitles[view.powerPart];
  return view.sheet === "options" ? text.options.schedule : text.coverage.schedule;
}

function StoreyChoice({ house, storey, hasAll }: { house: House; storey: string; hasAll: boolean }) {
  if (house.storeys.length < 2) return <span className="sheet-bar-only">{house.storeys[0]?.name}</span>;
  const options = storeysFromTop(house).map((s) => ({ value: s.id, label: s.name }));
  const long = text.job.allStoreysLong;
  const all = { value: "all", label: text.job.allStoreys, name: long, fold: long };
  return (
    <Choice
      label={text.job.storey}
      canFold
      options={hasAll ? [...options, all] : options}
      value={storey}
      onChange={(next) => showStorey(house, next)}
    />
  );
}

/** What is being computed, how far it is, and how to stop it. It stands where it moves nothing. */
function Underway({ state, coverage, isCoverage, capacity }: UnfinishedProps) {
  const progress = useWork();
  const { planning } = state;
  if (planning.isWorking) {
    return <Working title={text.work.planning} progress={progress.plan} onCancel={planning.cancel} />;
  }
  if (isCoverage && coverage.isWorking && progress.map) {
    return <Working title={text.work.mapping} progress={progress.map} onCancel={coverage.cancel} />;
  }
  if (capacity.isWorking) {
    const progress = { step: text.work.capacityStep, done: 0, total: 0 };
    return <Working title={text.work.capacity} progress={progress} onCancel={capacity.cancel} />;
  }
  return null;
}

interface MoveNoteProps {
  view: JobView;
  state: JobState;
  moves: CoverageState["moves"];
  reader: Reader;
}

/** What can be done with a part that is selected or was moved. It stands where it moves nothing. */
function MoveNote({ view, state, moves, reader }: MoveNoteProps) {
  const { shown } = state;
  const { move } = moves;
  if (!shown) return null;
  if (!move) {
    const selected = view.selected?.kind === "part" ? view.selected.id : null;
    const isThere = shown.design.parts.some((part) => part.id === selected);
    return selected !== null && isThere ? (
      <p className="move-note quiet-line">{text.move.hint(partTag(selected))}</p>
    ) : null;
  }
  const tag = partTag(move.part);
  const far = length(Math.hypot(move.at[0] - move.from[0], move.at[1] - move.from[1]), reader);
  if (move.phase !== "placed") {
    return (
      <p className="move-note quiet-line">
        {move.phase === "moving"
          ? text.move.moving(tag, far)
          : moves.isStored
            ? text.move.stored(tag)
            : text.move.saving(tag)}
      </p>
    );
  }
  return (
    <div className="move-note">
      <p>{text.move.offer(tag, far)}</p>
      <button type="button" className="button main" onClick={moves.keepCopy}>
        {text.move.keep}
      </button>
      <button type="button" className="button" onClick={moves.putBack}>
        {text.move.putBack}
      </button>
    </div>
  );
}

interface UnfinishedProps {
  state: JobState;
  coverage: CoverageState;
  isCoverage: boolean;
  capacity: CapacityState;
}

/** Why something is not computed, and what to do. */
function Unfinished({ state, coverage, isCoverage, capacity }: UnfinishedProps) {
  const { planning, missingDesign } = state;
  return (
    <>
      {!planning.isWorking && planning.error && (
        <Failure error={planning.error} title={text.work.planFailed} onAgain={planning.start} />
      )}
      {!planning.isWorking && !planning.error && (planning.plan === null || planning.isStale) && (
        <Notice
          tone="plain"
          title={
            planning.revision === null ? text.work.notPlanned : text.work.staleStopped(planning.revision)
          }
          actions={
            <button type="button" className="button main" onClick={planning.start}>
              {text.work.plan}
            </button>
          }
        />
      )}
      {missingDesign !== null && <Notice tone="plain" title={text.options.unknownDesign(missingDesign)} />}
      {isCoverage && (coverage.map?.missing ?? []).length > 0 && (
        <Notice tone="plain" title={text.work.mapMissing}>
          <p>{coverage.map?.missing?.join("; ")}</p>
        </Notice>
      )}
      {isCoverage && !coverage.isWorking && coverage.error && (
        <Failure error={coverage.error} title={text.work.mapFailed} onAgain={coverage.again} />
      )}
      {!capacity.isWorking && capacity.error && (
        <Failure error={capacity.error} title={text.work.capacityFailed} onAgain={capacity.again} />
      )}
      {capacity.isLeft && (
        <Notice
          tone="plain"
          title={text.work.capacityNone}
          actions={
            <button type="button" className="button main" onClick={capacity.again}>
              {text.work.capacityStart}
            </button>
          }
        />
      )}
    </>
  );
}

function HouseSchedule({ view, state, reader, house }: DrawingProps & { house: House }) {
  return (
    <RoomsTable
      house={house}
      selected={view.selected?.kind === "room" ? view.selected.id : null}
      unsent={pendingEdits(state.outbox)}
      reader={reader}
      onSelect={(room, storey) =>
        refineWithin({
          selected: { kind: "room", id: room.id },
          ...(view.storey === "all" ? {} : { storey }),
        })
      }
      onRename={(room, name) => state.edits.edit(text.house.renamed(name), renameRoom(room.id, name))}
    />
  );
}

/** The text twin of the drawing: everything that is on it, chosen here as there. */
function WholePlan({
  view,
  state,
  house,
  map,
  coverage,
  capacity,
  traffic,
  wires,
  onSelect,
}: DrawingProps & {
  house: House;
  map?: CoverageMap | null;
  traffic: Traffic | undefined;
  onSelect(selection: Selection | null): void;
}) {
  return (
    <details className="whole-plan">
      <summary>{text.schedule.whole}</summary>
      <PlanTable
        house={house}
        storey={map?.storey ?? state.storey}
        design={view.sheet === "house" ? undefined : withMoved(state.shown?.design, coverage.moved)}
        map={map ?? undefined}
        traffic={traffic}
        wires={wires.drawn}
        selected={drawnSelection(view.selected, capacity.answer)}
        onSelect={onSelect}
      />
    </details>
  );
}

function CoverageSchedule({ view, coverage, reader, house }: DrawingProps & { house: House }) {
  const storey = house.storeys.find((s) => s.id === coverage.storey);
  if (!storey || !coverage.map) return <p className="quiet-line schedule-empty">{text.coverage.noDesign}</p>;
  return (
    <CoverageTable
      map={coverage.map}
      storey={storey}
      selected={view.selected?.kind === "room" ? view.selected.id : null}
      reader={reader}
      onSelect={(room: Room) => {
        refineWithin({ selected: { kind: "room", id: room.id } });
        coverage.setProbe(room.inside, storey.id);
      }}
    />
  );
}

function CapacitySchedule({ view, state, capacity, answer, reader, house }: DrawingProps & { house: House }) {
  const { shown } = state;
  if (!capacity.answer || !shown) return <p className="quiet-line schedule-empty">{text.capacity.none}</p>;
  return (
    <CapacitySchedules
      answer={capacity.answer}
      job={answer.job.name}
      design={shown.design.name}
      schedule={view.schedule}
      unmetFirst={view.unmetFirst}
      selected={view.selected}
      reader={reader}
      onSchedule={(schedule) => goWithin({ schedule })}
      onUnmetFirst={(unmetFirst) => goWithin({ unmetFirst })}
      onSelect={(selected) => {
        const storey = storeyOf(
          drawnSelection(selected, capacity.answer),
          house,
          shown.design,
          answer.document,
        );
        const isElsewhere = storey !== null && view.storey !== "all" && storey !== state.storey;
        refineWithin({ selected, ...(isElsewhere ? { storey } : {}) });
      }}
    />
  );
}

/** The storey that a thing of the drawing is on. */
function storeyOf(
  selection: Selection | null,
  house: House,
  design: Design,
  document: JobDocument,
): string | null {
  if (selection?.kind === "demarcation") return house.demarcation?.storey ?? null;
  const room =
    selection?.kind === "device"
      ? document.household?.devices.find(({ id }) => id === selection.id)?.room
      : design.parts.find(({ id }) => id === selection?.id)?.room;
  return house.storeys.find(({ rooms }) => rooms.some(({ id }) => id === room))?.id ?? null;
}

/** What the margin says above the keynotes: the thing selected, the point probed, or the headline of the busy hour. */
export function MarginSubject({ view, state, answer, reader, coverage, capacity, wires }: SheetProps) {
  const { house, shown, edits } = state;
  if (!house) return null;
  const isThing = view.selected !== null && view.selected.kind !== "keynote";
  const isCapacity = view.sheet === "capacity";
  const headline =
    isCapacity && capacity.answer && shown ? (
      <CapacityPanel
        answer={capacity.answer}
        staleNote={capacity.isStale ? text.work.stale(capacity.answer.revision) : null}
        headroom={figureOf(shown, "headroom")}
        selected={view.selected}
        servedText={capacity.servedText}
        reader={reader}
        onClear={() => refineWithin({ selected: null })}
      />
    ) : null;
  if (view.sheet === "coverage") {
    const storey = house.storeys.find((s) => s.id === coverage.storey);
    if (!storey || !shown) return null;
    return (
      <ProbePanel
        house={house}
        storey={storey}
        probe={coverage.probe}
        isHeld={coverage.isHeld}
        path={coverage.path}
        onPath={coverage.setPath}
        error={coverage.probeError}
        reader={reader}
        onRoom={(id) => {
          const room = storey.rooms.find((r) => r.id === id);
          if (room) coverage.setProbe(room.inside, storey.id);
        }}
        onClear={() => coverage.setProbe(null, storey.id)}
      />
    );
  }
  const isWires = isWireSheet(view);
  // The headline's part tells of what carries; of the building, the details do as on other sheets.
  const isOfBuilding = ["room", "wall", "opening", "outlet"].includes(view.selected?.kind ?? "");
  const isToldOfPart = view.selected?.kind === "part" && view.sheet === "cabling";
  const isOwn = isCapacity || isWires || view.sheet === "cost" || view.sheet === "resilience";
  const hasDetails = isOwn ? isOfBuilding || isToldOfPart : view.sheet !== "options" || isThing;
  return (
    <>
      {headline}
      {view.sheet === "cost" && <CostMargin view={view} state={state} answer={answer} reader={reader} />}
      {view.sheet === "resilience" && (
        <StayMargin view={view} state={state} answer={answer} reader={reader} />
      )}
      {isWires && <WireMargin view={view} state={state} house={house} wires={wires} reader={reader} />}
      {hasDetails && (
        <Details
          selected={isThing ? view.selected : null}
          house={house}
          document={answer.document}
          design={shown?.design ?? null}
          unsent={pendingEdits(state.outbox)}
          reader={reader}
          onAssembly={(wall, assembly, name) =>
            edits.edit(text.house.assemblyChanged(name), setWallAssembly(wall, assembly))
          }
          onClear={() => refineWithin({ selected: null })}
        />
      )}
    </>
  );
}
