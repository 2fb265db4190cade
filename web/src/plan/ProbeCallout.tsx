// What the probe says: the value, how far it spreads, the legs that it is made of, and its strongest paths. All paths, to
// be pointed out one by one, are in the margin: the callout follows the pointer and cannot be reached by it.

import type { Size } from "../geometry/brand.ts";
import { cornerFor } from "../geometry/callout.ts";
import { fixed, lengthText } from "../geometry/format.ts";
import { textWidth } from "../geometry/text.ts";
import type { CoverageMap, House, Probe } from "./contract.ts";
import { partTag } from "./parts.ts";
import { legName, pathName } from "./paths.ts";
import { words } from "./words.ts";

const WIDTH = 264;
/** Paths that it lists. */
const LISTED = 3;
/** Room that the values of legs and paths take of a line [px]. */
const VALUE = 100;
/** Height of a line [px]. */
const LINE = 17;
/** Share of the drawing's height that legs with paths may cover. */
const MOST = 2 / 3;
const FACE = { family: "text", weight: 400, size: 12 } as const;

interface ProbeCalloutProps {
  probe: Probe;
  house: House;
  map?: CoverageMap | undefined;
  /** Where the probe is in the window [px]. */
  at: readonly [number, number];
  /** Where the part that serves it is in the window, if it is there. */
  from: readonly [number, number] | null;
  size: Size;
}

/** A rate in the unit that people use. */
export const rateText = (bps: number): string =>
  bps >= 1e9
    ? `${fixed(bps / 1e9, 2)} Gbit/s`
    : bps >= 1e6
      ? `${fixed(bps / 1e6, bps < 1e7 ? 1 : 0)} Mbit/s`
      : `${fixed(bps / 1e3, 0)} kbit/s`;

/** The value that the map shows, first; the others are in `probeFacts`. */
export function probeValue(probe: Probe, quantity: string): string {
  const { level_dbm, down_bps, probability } = probe.value;
  if (quantity === "rate" && down_bps !== null) return rateText(down_bps);
  if (quantity === "probability" && probability !== null) return `${fixed(probability * 100, 0)} %`;
  if (level_dbm !== null) return `${fixed(level_dbm, 1)} dBm`;
  if (down_bps !== null) return rateText(down_bps);
  return "No value";
}

/** One sentence for people who hear it. */
export function probeSentence(probe: Probe, house: House, quantity: string): string {
  const room = house.storeys.flatMap((s) => s.rooms).find((r) => r.id === probe.room);
  const place = room ? ` in ${room.name}` : " outside all rooms";
  const covered = probe.covered === null ? "" : probe.covered ? ", meets the target" : ", below the target";
  return `${probeValue(probe, quantity)}${place}${covered}`;
}

function facts(probe: Probe, house: House): string[] {
  const room = house.storeys.flatMap((s) => s.rooms).find((r) => r.id === probe.room);
  const lines: string[] = [];
  const path = [
    room?.name,
    probe.part !== null && `to ${partTag(probe.part)}`,
    probe.band !== null && (probe.band === "any" ? "best band" : `${probe.band} GHz`),
    probe.distance_m !== null && lengthText(probe.distance_m, house.units),
  ].filter((text) => typeof text === "string");
  if (path.length > 0) lines.push(path.join(", "));
  const { down_bps, up_bps, probability } = probe.value;
  const carries: string[] = [];
  if (down_bps !== null) carries.push(`${rateText(down_bps)} down`);
  if (up_bps !== null) carries.push(`${rateText(up_bps)} up`);
  if (probability !== null) carries.push(`met ${fixed(probability * 100, 0)} % of the time`);
  if (carries.length > 0) lines.push(carries.join(", "));
  if (probe.margin_db !== null) {
    const { margin_db } = probe;
    lines.push(
      margin_db >= 0 ? `${fixed(margin_db, 1)} dB above target` : `${fixed(-margin_db, 1)} dB below target`,
    );
  }
  for (const missing of probe.missing) lines.push(missing);
  return lines;
}

export function ProbeCallout({ probe, house, map, at, from, size }: ProbeCalloutProps) {
  const quantity = map?.quantity ?? "level";
  const text = facts(probe, house);
  const width = Math.min(WIDTH, size.width - 16);
  const linesOf = (line: string, room: number): number => Math.ceil(textWidth(line, FACE) / room);
  const heightOf = (lines: readonly string[], room: number, gap: number): number =>
    lines.reduce((sum, line) => sum + linesOf(line, room) * LINE + gap, 0);
  const head = 44 + heightOf(text, width - 22, 0);
  const level = probe.value.level_dbm === null ? [] : ["Level"];
  const legs = probe.legs.map((leg) => legName(leg, probe, house));
  const forLegs = heightOf([...legs, ...level], width - VALUE, 2) + 5;
  // A small window has no room for the legs beside the drawing, and a long sum none in any.
  const hasLegs =
    legs.length > 0 && size.width >= 480 && size.height >= 360 && head + forLegs <= size.height - 16;
  const strongest = probe.paths.slice(0, LISTED);
  const names = strongest.map((path) => `${pathName(path, house)}, ${fixed(path.delay_ns, 1)}\u00a0ns`);
  const numMore = probe.paths.length - strongest.length + (probe.others?.count ?? 0);
  const more = numMore > 0 ? [words.morePaths(numMore)] : [];
  const forPaths = heightOf([words.paths, ...names, ...more], width - VALUE, 2) + 5;
  // Paths come after the legs, where both leave a third of the drawing free.
  const hasPaths = hasLegs && strongest.length > 1 && head + forLegs + forPaths <= MOST * size.height;
  const listed = hasPaths ? strongest : [];
  const height = head + (hasLegs ? forLegs : 0) + (hasPaths ? forPaths : 0);
  const { left, top } = cornerFor(at, from, { width, height }, size);
  // Held by the edge that is nearer to the pointer, so that its height need not be known exactly.
  const style =
    top < at[1] && top > 8
      ? { left, bottom: Math.max(8, size.height - top - height), width }
      : { left, top, width };
  return (
    <div className="plan-callout" style={style}>
      <strong>{probeValue(probe, quantity)}</strong>
      {probe.spread_db !== null && probe.value.level_dbm !== null && (
        <> spread {fixed(probe.spread_db, 1)} dB</>
      )}
      {text.map((line) => (
        <p key={line}>{line}</p>
      ))}
      {hasLegs && (
        <table>
          <tbody>
            {probe.legs.map((leg, i) => (
              // Legs are in order and may repeat.
              // biome-ignore lint/suspicious/noArrayIndexKey: the order is what tells legs apart
              <tr key={i}>
                <th scope="row">{legs[i]}</th>
                <td>
                  {fixed(leg.value, 1)} {leg.unit}
                </td>
              </tr>
            ))}
            {probe.value.level_dbm !== null && (
              <tr>
                <th scope="row">Level</th>
                <td>{fixed(probe.value.level_dbm, 1)} dBm</td>
              </tr>
            )}
          </tbody>
          {listed.length > 0 && (
            <tbody>
              <tr>
                <th scope="rowgroup" colSpan={2}>
                  {words.paths}
                </th>
              </tr>
              {listed.map((path, i) => (
                // biome-ignore lint/suspicious/noArrayIndexKey: the order is what tells paths apart
                <tr key={i}>
                  <th scope="row">{names[i]}</th>
                  <td>{fixed(path.level_dbm, 1)} dBm</td>
                </tr>
              ))}
              {numMore > 0 && (
                <tr>
                  <th scope="row" colSpan={2}>
                    {words.morePaths(numMore)}
                  </th>
                </tr>
              )}
            </tbody>
          )}
        </table>
      )}
    </div>
  );
}
