/**
 * The resilience sheet on the job's page: what is asked for it, what is switched off, its schedules, its margin, and
 * what of it the plan draws.
 */

import { useEffect, useMemo, useRef } from "react";
import { type JobView, type Selected, sheetNames } from "../document/address.ts";
import type { Reader } from "../document/format.ts";
import { chosenService, componentsOf, cutAt, placesOf, serviceId, switched } from "../document/staying.ts";
import type {
  ComponentRow,
  Design,
  JobAnswer,
  JobDocument,
  Member,
  ServiceRow,
  StayingAnswer,
  WhatIfAnswer,
} from "../engine/types.ts";
import { ServicePanel } from "../features/resilience/ServicePanel.tsx";
import { StaySchedules } from "../features/resilience/StaySchedules.tsx";
import { nameOfOff, WhatIfPanel, whatIfSentence } from "../features/resilience/WhatIfPanel.tsx";
import { cutText, type Known, minutesValue, shapeOf, thingName } from "../features/resilience/words.ts";
import type { DrawnDevice, PlanMark, Selection, Traffic } from "../plan/contract.ts";
import { partTag } from "../plan/parts.ts";
import { announce } from "../store/announce.ts";
import type { JobState } from "../store/jobState.ts";
import { goWithin, refineWithin } from "../store/navigation.ts";
import { keys, useStayingAnswer, useWhatIf } from "../store/queries.ts";
import { text } from "../text.ts";
import { Choice } from "../ui/Choice.tsx";
import { Link } from "../ui/Link.tsx";
import { type Derived, useDerived } from "./derived.tsx";

const t = text.resilience;

export interface StayState extends Derived<StayingAnswer> {
  known: Known | null;
  components: ComponentRow[];
  service: ServiceRow | null;
  /** What happens with what is off; null while nothing is, or while it is not known. */
  whatIf: WhatIfAnswer | null;
  isWhatIfWorking: boolean;
  whatIfError: Error | null;
  whatIfAgain(): void;
}

const noComponents: ComponentRow[] = [];

export function useStaying(view: JobView, state: JobState, reader: Reader): StayState {
  const { id, shown, answer } = state;
  const design = view.sheet === "resilience" ? (shown?.id ?? null) : null;
  const revision = answer?.job.revision ?? null;
  const query = useStayingAnswer(id, revision, design);
  const derived = useDerived(query, design, keys.staying(id), text.derived.staying.cancelled);
  const asked = useWhatIf(id, revision, design, { off: view.off, minutes: view.outMinutes });
  const document = answer?.document ?? null;
  const drawn = shown?.design ?? null;
  const known = useMemo(
    (): Known | null => (document && drawn ? { document, design: drawn, reader } : null),
    [document, drawn, reader],
  );
  const staying = derived.answer?.staying ?? null;
  const components = useMemo(() => (staying ? componentsOf(staying) : noComponents), [staying]);
  return {
    ...derived,
    known,
    components,
    service: staying && chosenService(staying, view.service),
    whatIf: design !== null && view.off.length > 0 && asked.data?.design.id === design ? asked.data : null,
    isWhatIfWorking: asked.isFetching,
    whatIfError: view.off.length > 0 ? asked.error : null,
    whatIfAgain: () => void asked.refetch(),
  };
}

/** What a selection is, among what can fail. */
export function thingSelected(
  selected: Selected | null,
  components: readonly ComponentRow[],
): ComponentRow | null {
  switch (selected?.kind) {
    case "part":
    case "device":
    case "line":
      return components.find(({ id, kind }) => id === selected.id && kind === selected.kind) ?? null;
    case "component":
      return components.find(({ id, kind }) => `${kind}:${id}` === selected.id) ?? null;
    default:
      return null;
  }
}

export function selectedThing({ id, kind }: Pick<Member, "id" | "kind">): Selected {
  return kind === "part" || kind === "device" || kind === "line"
    ? { kind, id }
    : { kind: "component", id: `${kind}:${id}` };
}

/** Switches something off or on again; each is a step of the browser's history, so that back undoes it. */
export function switchThing(off: readonly string[], id: string, name: string): void {
  goWithin({ off: switched(off, id) });
  announce(off.includes(id) ? t.whatIf.switchedOn(name) : t.whatIf.switchedOff(name));
}

export function undoSwitch(off: readonly string[], stay: Pick<StayState, "components" | "known">): void {
  const last = off.at(-1);
  if (last === undefined || !stay.known) return;
  goWithin({ off: off.slice(0, -1) });
  announce(t.whatIf.switchedOn(nameOfOff(last, stay.components, stay.known)));
}

/** What pressing a thing on the plan does. */
export function SwitchMode({
  isSwitching,
  onChange,
}: {
  isSwitching: boolean;
  onChange(isSwitching: boolean): void;
}) {
  return (
    <Choice
      label={t.whatIf.mode}
      canFold
      options={(["choose", "switch"] as const).map((value) => ({ value, label: t.whatIf.modes[value] }))}
      value={isSwitching ? "switch" : "choose"}
      onChange={(mode) => onChange(mode === "switch")}
    />
  );
}

/** The component that something chosen on the plan is; the place where the line enters is the first line. */
export function componentAt(
  selection: Selection | null,
  components: readonly ComponentRow[],
): ComponentRow | null {
  if (selection?.kind === "demarcation") return components.find(({ kind }) => kind === "line") ?? null;
  if (selection?.kind !== "part" && selection?.kind !== "device") return null;
  return components.find(({ id, kind }) => id === selection.id && kind === selection.kind) ?? null;
}

/** Says what happens as soon as it is known; used once on the page. */
export function useWhatIfAnnounced({ whatIf, isWhatIfWorking }: StayState): void {
  const said = useRef<WhatIfAnswer | null>(null);
  useEffect(() => {
    if (!whatIf || isWhatIfWorking || said.current === whatIf) return;
    said.current = whatIf;
    announce(whatIfSentence(whatIf));
  }, [whatIf, isWhatIfWorking]);
}

const noChannels: ReadonlyMap<string, readonly string[]> = new Map();

/** Devices with how each fares, and marks of the cut that is shown or of what is off. */
export function useStayDrawing(
  view: JobView,
  stay: StayState,
): { traffic: Traffic | undefined; marks: PlanMark[] | undefined } {
  const { known, answer, service, whatIf, components } = stay;
  const { off, cut, selected } = view;
  const isShown = view.sheet === "resilience";
  const traffic = useMemo(
    () => (isShown && known ? trafficOf(known, answer, whatIf) : undefined),
    [isShown, known, answer, whatIf],
  );
  const marks = useMemo(() => {
    if (!isShown || !known) return undefined;
    const shownCut = cutAt(service, cut);
    const chosen = thingSelected(selected, components);
    const about = chosen && selected?.kind === "component" ? marksOf([chosen], known, "about") : [];
    const ofCut = shownCut ? marksOf(shownCut.members, known, "cut") : [];
    const switchedOff = components.filter(({ id }) => off.includes(id));
    return [...about, ...ofCut, ...faring(whatIf, known), ...marksOf(switchedOff, known, "off")];
  }, [isShown, known, service, cut, selected, components, off, whatIf]);
  return { traffic, marks };
}

function marksOf(
  things: readonly Pick<Member, "id" | "kind">[],
  known: Known,
  state: PlanMark["state"],
): PlanMark[] {
  const seen = new Set<string>();
  return things.flatMap((thing) => {
    // An outage counts once, however long it is.
    const key = `${thing.kind} ${thing.id}`;
    if (seen.has(key)) return [];
    seen.add(key);
    const shape = shapeOf(thing, known.design);
    return placesOf(thing, known.design, known.document).map(
      (place): PlanMark => ({ ...place, state, shape, text: t.key[state] }),
    );
  });
}

/** Devices whose connection is down, or goes on by another way. */
function faring(whatIf: WhatIfAnswer | null, known: Known): PlanMark[] {
  return (whatIf?.what_if.services ?? []).flatMap(({ id, kind, state }): PlanMark[] => {
    if (kind !== "connection" || (state !== "down" && state !== "alternative")) return [];
    const mark = state === "down" ? "lost" : "other";
    return [
      {
        on: "device",
        id,
        state: mark,
        shape: shapeOf({ id, kind: "device" }, known.design),
        text: t.key[mark],
      },
    ];
  });
}

function trafficOf(known: Known, answer: StayingAnswer | null, whatIf: WhatIfAnswer | null): Traffic {
  const { document, design, reader } = known;
  const services = answer?.staying.services ?? [];
  const devices = (document.household?.devices ?? []).map((device): DrawnDevice => {
    const service = services.find(({ id, kind }) => kind === "connection" && id === device.id);
    const fared = whatIf?.what_if.services.find(({ id, kind }) => kind === "connection" && id === device.id);
    const isCabled = device.attachment === "wired" || isLinked(device.id, design);
    return {
      id: device.id,
      tag: device.count > 1 ? text.capacity.many(partTag(device.id), device.count) : partTag(device.id),
      room: device.room,
      at: device.at ? [device.at[0], device.at[1]] : null,
      joins: isCabled ? "cable" : device.attachment === "thing-network" ? "other" : "radio",
      servedBy: null,
      weight: null,
      kind: text.deviceKinds[device.kind] ?? device.kind,
      served: "",
      airtime: "",
      says: [
        service?.minutes
          ? `${t.service.down.toLowerCase()} ${t.minutes(minutesValue(service.minutes, reader))}`
          : text.unknown,
        service?.must_stay_up ? t.mustStayUp : "",
        fared ? t.states[fared.state] : "",
      ]
        .filter((part) => part !== "")
        .join(", "),
    };
  });
  return { devices, channels: noChannels, limits: [], bottleneck: null, chosen: null };
}

const isLinked = (device: string, design: Design): boolean =>
  design.links?.some((link) => link.to === device && link.medium.over !== "radio") ?? false;

/** The storey of the first thing of a cut that has a place. */
function storeyOfThings(
  things: readonly Pick<Member, "id" | "kind">[],
  state: JobState,
  document: JobDocument,
): { isHere: boolean; storey: string | null } {
  const { house, shown, storey } = state;
  const storeys = things.flatMap(({ id, kind }) => {
    if (kind === "line") return house?.demarcation ? [house.demarcation.storey] : [];
    const room =
      kind === "part"
        ? shown?.design.parts.find((part) => part.id === id)?.room
        : document.household?.devices.find((device) => device.id === id)?.room;
    const found = house?.storeys.find(({ rooms }) => rooms.some((r) => r.id === room));
    return found ? [found.id] : [];
  });
  return { isHere: storeys.includes(storey), storey: storeys[0] ?? null };
}

interface Props {
  view: JobView;
  state: JobState;
  answer: JobAnswer;
  reader: Reader;
}

/** What both the schedules and the margin do. */
function doorsOf({ view, state, answer }: Props, stay: StayState) {
  const goTo = (things: readonly Pick<Member, "id" | "kind">[]): { storey?: string } => {
    const { isHere, storey } = storeyOfThings(things, state, answer.document);
    return isHere || storey === null || view.storey === "all" ? {} : { storey };
  };
  return {
    onService: (service: ServiceRow) => goWithin({ service: serviceId(service), cut: null }),
    onCut: (cut: number | null) => {
      const own = cutAt(stay.service, cut);
      goWithin({
        cut: own ? cut : null,
        service: stay.service && serviceId(stay.service),
        ...(own ? goTo(own.members) : {}),
      });
      announce(own && stay.known ? t.service.cutShown(cutText(own, stay.known)) : t.service.hideCut);
    },
    onThing: (thing: Pick<Member, "id" | "kind">) => {
      const next = selectedThing(thing);
      const isAgain = view.selected?.kind === next.kind && view.selected.id === next.id;
      refineWithin({ selected: isAgain ? null : next, ...(isAgain ? {} : goTo([thing])) });
    },
    onSwitch: (id: string) => {
      if (stay.known) switchThing(view.off, id, nameOfOff(id, stay.components, stay.known));
    },
  };
}

export function StaySchedule({ stay, ...props }: Props & { stay: StayState }) {
  const { view, answer } = props;
  if (!stay.answer || !stay.known) return <p className="quiet-line schedule-empty">{t.none}</p>;
  const power = "power" as (typeof sheetNames)[number];
  return (
    <StaySchedules
      answer={stay.answer}
      known={stay.known}
      service={stay.service}
      cut={view.cut}
      off={view.off}
      whatIf={stay.whatIf}
      isSelected={({ id, kind }) => {
        const own = selectedThing({ id, kind });
        return view.selected?.kind === own.kind && view.selected.id === own.id;
      }}
      job={answer.job.name}
      currency={answer.document.site.currency}
      part={view.stayPart}
      look={{ sort: view.sort, find: view.find }}
      powerLink={
        sheetNames.includes(power) ? (
          <Link to={{ ...view, sheet: power, sort: null, find: "" }}>{t.batteries.power}</Link>
        ) : null
      }
      onPart={(stayPart) => goWithin({ stayPart, sort: null, find: "" })}
      onLook={(look) => refineWithin(look)}
      {...doorsOf(props, stay)}
    />
  );
}

export function StayMargin(props: Props) {
  const { view, state, reader } = props;
  const stay = useStaying(view, state, reader);
  const { known, answer, service, components } = stay;
  if (!known || !answer) return null;
  const own = cutAt(service, view.cut);
  const unplaced = (own?.members ?? []).filter(
    (member) => placesOf(member, known.design, known.document).length === 0,
  );
  const doors = doorsOf(props, stay);
  const chosen = thingSelected(view.selected, components);
  const isThing = ["part", "device", "line"].includes(view.selected?.kind ?? "");
  const whatIf = (
    <WhatIfPanel
      known={known}
      off={view.off}
      outMinutes={view.outMinutes}
      onMinutes={(outMinutes) => refineWithin({ outMinutes })}
      components={components}
      chosen={chosen}
      isIdle={isThing && chosen === null}
      answer={stay.whatIf}
      isWorking={stay.isWhatIfWorking}
      error={stay.whatIfError}
      onSwitch={doors.onSwitch}
      onUndo={() => undoSwitch(view.off, stay)}
      onAllOn={() => {
        goWithin({ off: [] });
        announce(t.whatIf.allAreOn);
      }}
      onAgain={stay.whatIfAgain}
    />
  );
  const isAsked = view.off.length > 0 || chosen !== null || (isThing && chosen === null);
  return (
    <>
      {isAsked && whatIf}
      <ServicePanel
        answer={answer}
        known={known}
        service={service}
        cut={view.cut}
        unplaced={[...new Set(unplaced.map((member) => thingName(member, known)))]}
        staleNote={stay.isStale ? text.derived.staleNote(answer.revision) : null}
        onService={doors.onService}
        onCut={doors.onCut}
        onThing={doors.onThing}
      />
      {!isAsked && whatIf}
    </>
  );
}
