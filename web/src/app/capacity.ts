/** The capacity sheet's state: the busy hour of the design that is shown, and what of it the plan draws. */

import { useCallback, useMemo } from "react";
import type { JobView, Selected } from "../document/address.ts";
import {
  joinOf,
  linkOf,
  outstanding,
  placeOf,
  planned,
  relatedTo,
  weightLimits,
  weightOf,
} from "../document/capacity.ts";
import { megahertz, number, type Reader, share } from "../document/format.ts";
import type { CapacityAnswer, Design, JobDocument } from "../engine/types.ts";
import type { DrawnDevice, Selection, Traffic } from "../plan/contract.ts";
import { partTag } from "../plan/parts.ts";
import { announce } from "../store/announce.ts";
import type { JobState } from "../store/jobState.ts";
import { client, keys, useCapacityAnswer } from "../store/queries.ts";
import { text } from "../text.ts";

const t = text.capacity;

export interface CapacityState {
  answer: CapacityAnswer | null;
  isStale: boolean;
  isWorking: boolean;
  error: Error | null;
  /** It was cancelled, and what is there is of another revision, or nothing. */
  isLeft: boolean;
  traffic: Traffic | undefined;
  /** How a device is served, in words. */
  servedText(device: string): string;
  again(): void;
  cancel(): void;
}

export function useCapacity(view: JobView, state: JobState, reader: Reader): CapacityState {
  const { id, shown, answer: job } = state;
  const isShown = view.sheet === "capacity";
  const design = isShown ? (shown?.id ?? null) : null;
  const query = useCapacityAnswer(id, job?.job.revision ?? null, design);
  const data = query.data?.design.id === design ? query.data : null;
  const document = job?.document ?? null;
  const drawn = shown?.design ?? null;
  const { selected } = view;
  const devices = useMemo(
    () => (isShown && document && drawn ? drawnDevices(document, drawn, data, reader) : null),
    [isShown, document, drawn, data, reader],
  );
  const traffic = useMemo(
    () => (devices && drawn ? trafficOf(devices, drawn, data, selected, reader) : undefined),
    [devices, drawn, data, selected, reader],
  );
  return {
    answer: isShown ? data : null,
    isStale: query.isPlaceholderData,
    isWorking: isShown && query.isFetching,
    error: isShown ? query.error : null,
    isLeft:
      design !== null &&
      query.isEnabled &&
      !query.isFetching &&
      !query.error &&
      (query.isPlaceholderData || !query.data),
    traffic,
    servedText: useCallback(
      (device: string) => devices?.find((d) => d.id === device)?.served ?? text.unknown,
      [devices],
    ),
    again: useCallback(() => void query.refetch(), [query.refetch]),
    cancel: useCallback(() => {
      void client.cancelQueries({ queryKey: keys.capacity(id) });
      announce(text.work.capacityCancelled);
    }, [id]),
  };
}

type Device = NonNullable<JobDocument["household"]>["devices"][number];

/** How a device joins the network, and what serves it; in words and for the drawing. */
function servedOf(
  device: Device,
  design: Design,
  answer: CapacityAnswer | null,
): Pick<DrawnDevice, "joins" | "servedBy" | "served"> {
  const cable = design.links?.find((link) => link.to === device.id);
  if (cable) {
    return { joins: "cable", servedBy: cable.from, served: t.cableFrom(partTag(cable.from)) };
  }
  if (device.attachment === "thing-network") return { joins: "other", servedBy: null, served: t.itsHub };
  const joins = device.attachment === "wired" ? "cable" : "radio";
  const join = answer ? joinOf(answer, device.id) : null;
  if (!join) return { joins, servedBy: null, served: text.unknown };
  if (join.part === null) return { joins, servedBy: null, served: t.nothing };
  const band = join.band === null ? null : t.band(join.band);
  return {
    joins,
    servedBy: join.part,
    served: band === null ? partTag(join.part) : t.radio(partTag(join.part), band),
  };
}

function drawnDevices(
  document: JobDocument,
  design: Design,
  answer: CapacityAnswer | null,
  reader: Reader,
): DrawnDevice[] {
  return (document.household?.devices ?? []).map((device) => {
    const served = servedOf(device, design, answer);
    const airtime = answer ? (joinOf(answer, device.id)?.airtime ?? null) : null;
    const kind = text.deviceKinds[device.kind] ?? device.kind;
    return {
      id: device.id,
      tag: device.count > 1 ? t.many(partTag(device.id), device.count) : partTag(device.id),
      room: device.room,
      at: device.at ? [device.at[0], device.at[1]] : null,
      ...served,
      weight: airtime === null ? null : weightOf(airtime.median),
      kind,
      airtime:
        airtime !== null
          ? t.airtime(share(airtime.median, reader))
          : served.joins === "radio"
            ? t.airtimeUnknown
            : t.noAirtime,
    };
  });
}

function trafficOf(
  devices: readonly DrawnDevice[],
  design: Design,
  answer: CapacityAnswer | null,
  selected: Selected | null,
  reader: Reader,
): Traffic {
  const channels = new Map<string, string[]>();
  for (const channel of answer?.capacity.channels ?? []) {
    const set = answer && planned(answer, channel.part, channel.band);
    const width = megahertz(channel.width, reader);
    const line =
      set && set.channel !== null
        ? t.lettering(t.band(channel.band), String(set.channel), width)
        : t.letteringCentre(t.band(channel.band), megahertz(channel.centre, reader), width);
    channels.set(channel.part, [...(channels.get(channel.part) ?? []), line]);
  }
  const bottleneck = answer?.capacity.bottleneck ?? null;
  const stand = answer && outstanding(answer, selected);
  const link = answer && selected?.kind === "uplink" ? linkOf(answer, design, selected.id) : null;
  return {
    devices,
    channels,
    limits: weightLimits.map((limit) => number(100 * limit, reader, limit < 0.01 ? 1 : 0)),
    bottleneck: answer && bottleneck ? placeOf(answer, design, bottleneck) : null,
    chosen: stand
      ? { devices: stand, links: new Set() }
      : link === null
        ? null
        : { devices: new Set(), links: new Set([link]) },
  };
}

/** What is selected, as the drawing knows it. */
export function drawnSelection(selected: Selected | null, answer: CapacityAnswer | null): Selection | null {
  if (!selected) return null;
  const { id } = selected;
  switch (selected.kind) {
    case "channel":
      return { kind: "part", id: id.slice(0, id.lastIndexOf(":")) };
    case "uplink":
      return { kind: "part", id };
    case "line":
      return { kind: "demarcation", id };
    case "goods":
    case "statement":
    case "component":
      return null;
    case "activity": {
      const [device] = answer ? relatedTo(answer, selected).devices : [];
      return device === undefined ? null : { kind: "device", id: device };
    }
    default:
      return { kind: selected.kind, id };
  }
}

/** What was selected on the drawing, as addresses know it; the line is where it enters. */
export function selectedOf(selection: Selection | null, line: string | null): Selected | null {
  if (selection?.kind !== "demarcation") return selection && { kind: selection.kind, id: selection.id };
  return line === null ? null : { kind: "line", id: line };
}
