/** How parts, devices, channels and bottlenecks are named on this sheet. */

import { planned } from "../../document/capacity.ts";
import { megahertz, type Reader, share } from "../../document/format.ts";
import type { ActivityHour, Bottleneck, CapacityAnswer, ChannelHour } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";

const t = text.capacity;

/** What is full first or holds something back, as the subject of a sentence or short, for a cell. */
export function carrierName(bottleneck: Bottleneck, form: "carrier" | "carrierShort"): string {
  const band = bottleneck.band === null ? null : t.band(bottleneck.band);
  return t[form][bottleneck.carrier](partTag(bottleneck.subject), band);
}

/** The headline: what is full first, with its number. */
export function bottleneckSentence(bottleneck: Bottleneck | null, reader: Reader): string {
  if (!bottleneck) return t.idle;
  const what = carrierName(bottleneck, "carrier");
  const [load, limit] = [share(bottleneck.load, reader), share(bottleneck.limit, reader, 0)];
  return bottleneck.carrier === "delay"
    ? t.waits(what, load, limit)
    : t.fullFirst(what, load, limit, bottleneck.load > bottleneck.limit);
}

export function radioName(radio: { part: string; band: string }): string {
  return t.radio(partTag(radio.part), t.band(radio.band));
}

/** A channel by its number; by its centre where the plan does not have it. */
export function channelName(
  answer: CapacityAnswer,
  channel: Pick<ChannelHour, "part" | "band" | "centre">,
  reader: Reader,
): string {
  const set = planned(answer, channel.part, channel.band);
  return set && set.channel !== null ? String(set.channel) : megahertz(channel.centre, reader);
}

export function activityName(activity: ActivityHour): string {
  return text.activityKinds[activity.kind] ?? activity.kind;
}
