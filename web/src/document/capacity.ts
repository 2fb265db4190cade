/** The busy hour as it is shown: what belongs to what is selected, what is full first and where that is. */

import type {
  ActivityHour,
  Bottleneck,
  CapacityAnswer,
  ChannelHour,
  Design,
  Join,
  PlannedRadio,
} from "../engine/types.ts";
import type { Selected } from "./address.ts";

/** Share of evenings in which a need must be met: nineteen of twenty. */
export const enough = 0.95;

/** A radio's channel by part and band, as addresses name it. */
export function channelId(part: string, band: string): string {
  return `${part}:${band}`;
}

export function planned(answer: CapacityAnswer, part: string, band: string): PlannedRadio | null {
  return answer.radio_plan.radios.find((c) => c.part === part && c.band === band) ?? null;
}

/** What a device joins; null for one that joins by cable or by a hub. */
export function joinOf(answer: CapacityAnswer, device: string): Join | null {
  return answer.joins.find((join) => join.device === device) ?? null;
}

/** Where one step of a line's weight ends and the next begins: shares of the channel's time. */
export const weightLimits = [0.003, 0.01, 0.03, 0.1] as const;

/** Step of a line's weight by the airtime that it stands for, from 0. */
export function weightOf(airtime: number): number {
  return weightLimits.filter((limit) => airtime >= limit).length;
}

/** What belongs to the selection, by id; rows of these are marked in the schedules. */
export interface Related {
  channels: ReadonlySet<string>;
  /** Channels whose devices are marked as well. */
  served: ReadonlySet<string>;
  activities: ReadonlySet<string>;
  devices: ReadonlySet<string>;
  uplinks: ReadonlySet<string>;
  line: boolean;
}

const nothing: ReadonlySet<string> = new Set();
const unrelated: Related = {
  channels: nothing,
  served: nothing,
  activities: nothing,
  devices: nothing,
  uplinks: nothing,
  line: false,
};

export function relatedTo(answer: CapacityAnswer, selected: Selected | null): Related {
  const { channels, activities, uplinks } = answer.capacity;
  const channelOf = (device: string): ReadonlySet<string> => {
    const join = joinOf(answer, device);
    return join?.part && join.band ? new Set([channelId(join.part, join.band)]) : nothing;
  };
  switch (selected?.kind) {
    case "device": {
      const own = activities.filter(({ device }) => device === selected.id);
      return {
        ...unrelated,
        devices: new Set([selected.id]),
        activities: new Set(own.map(({ id }) => id)),
        channels: channelOf(selected.id),
      };
    }
    case "activity": {
      const device = activities.find(({ id }) => id === selected.id)?.device;
      const activity = new Set([selected.id]);
      if (device === undefined) return { ...unrelated, activities: activity };
      return { ...unrelated, activities: activity, devices: new Set([device]), channels: channelOf(device) };
    }
    case "channel":
      return { ...unrelated, channels: new Set([selected.id]), served: new Set([selected.id]) };
    case "part": {
      const own = channels.filter(({ part }) => part === selected.id);
      const ways = uplinks.filter(({ part }) => part === selected.id);
      const ids = new Set(own.map(({ part, band }) => channelId(part, band)));
      return {
        ...unrelated,
        channels: ids,
        served: ids,
        uplinks: new Set(ways.map(({ part }) => part)),
      };
    }
    case "uplink":
      return { ...unrelated, uplinks: new Set([selected.id]) };
    case "line":
      return { ...unrelated, line: true };
    default:
      return unrelated;
  }
}

/** Devices whose lines stand out on the plan: those that the selection is about; null if it is about none. */
export function outstanding(answer: CapacityAnswer, selected: Selected | null): ReadonlySet<string> | null {
  switch (selected?.kind) {
    case "part":
    case "channel": {
      const served = answer.joins.filter(({ part, band }) =>
        selected.kind === "part"
          ? part === selected.id
          : part !== null && band !== null && channelId(part, band) === selected.id,
      );
      return served.length > 0 ? new Set(served.map(({ device }) => device)) : null;
    }
    case "device":
    case "activity":
      return relatedTo(answer, selected).devices;
    default:
      return null;
  }
}

/** The link of a design between two parts. */
function linkBetween(design: Design, a: string, b: string): string | null {
  return (
    design.links?.find(({ from, to }) => (from === a && to === b) || (from === b && to === a))?.id ?? null
  );
}

/** The link of the design that an uplink is; null where others lie between. */
export function linkOf(answer: CapacityAnswer, design: Design, part: string): string | null {
  const uplink = answer.capacity.uplinks.find((way) => way.part === part);
  return uplink ? linkBetween(design, uplink.part, uplink.parent) : null;
}

export interface Place {
  on: "part" | "device" | "link" | "demarcation";
  id: string;
}

/** Where on the plan a bottleneck is. */
export function placeOf(answer: CapacityAnswer, design: Design, bottleneck: Bottleneck): Place {
  const { carrier, subject } = bottleneck;
  switch (carrier) {
    case "line-down":
    case "line-up":
      return { on: "demarcation", id: subject };
    case "channel":
      return { on: "part", id: subject };
    case "radio-uplink":
    case "cable": {
      const link = linkOf(answer, design, subject);
      return link === null ? { on: "part", id: subject } : { on: "link", id: link };
    }
    case "link":
    case "delay": {
      if (subject === answer.capacity.line?.line) return { on: "demarcation", id: subject };
      const isPart = design.parts.some((part) => part.id === subject);
      return { on: isPart ? "part" : "device", id: subject };
    }
  }
}

/** Whether an activity gets what it needs often enough; null if that is not known. */
export function isMet(activity: ActivityHour): boolean | null {
  return activity.met === null ? null : activity.met >= enough;
}

/** Those that do not get what they need come first, the worst of them before; all others stay as they stand. */
export function unmetFirst(activities: readonly ActivityHour[]): ActivityHour[] {
  const rank = (activity: ActivityHour): number => (isMet(activity) === false ? (activity.met ?? 1) : 2);
  return activities.toSorted((a, b) => rank(a) - rank(b));
}

/** What of a channel's time is what, at the median: shares in the order in which they are drawn. */
export interface Part {
  kind: "own" | "collided" | "beacons" | "neighbours";
  share: number;
}

/** The parts of a channel's time; what does not fit into the whole is cut off, as nothing more than all can be taken. */
export function partsOfTime(channel: ChannelHour): { parts: Part[]; free: number } {
  let left = 1;
  const parts = (
    [
      ["own", channel.own.median],
      ["collided", channel.collided.median],
      ["beacons", channel.beacons],
      ["neighbours", channel.neighbours],
    ] as const
  ).map(([kind, value]): Part => {
    const share = Math.min(left, Math.max(0, value));
    left -= share;
    return { kind, share };
  });
  return { parts, free: left };
}
