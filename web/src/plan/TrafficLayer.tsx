// What the network carries in the busy hour, over the building: a light mark for each device, a line to the part that
// serves it as heavy as the airtime that it takes, and brackets around what is full first.

import type { ReactNode } from "react";
import { linePath } from "../geometry/path.ts";
import type { PlacedPart, Selection, Traffic } from "./contract.ts";
import { type DeviceSpot, markScale, servedFromElsewhere, servedOn } from "./devices.ts";
import type { SheetLayout } from "./layout.ts";
import { type DrawnLink, middleOf } from "./links.ts";
import { partBox } from "./SheetMarks.tsx";
import { words } from "./words.ts";

type Point = readonly [number, number];

interface LinesProps {
  traffic: Traffic;
  devices: readonly DeviceSpot[];
  /** All parts of the design, and those of this storey. */
  parts: readonly PlacedPart[];
  here: readonly PlacedPart[];
  project(p: Point): Point;
  /** Where a part is drawn, if that is not on this storey's plan. */
  projectPart?(part: PlacedPart): Point;
}

export function ServedLines({ traffic, devices, parts, here, project, projectPart }: LinesProps) {
  const served = servedOn(devices, parts);
  const { chosen } = traffic;
  const to = (part: PlacedPart): Point =>
    projectPart ? projectPart(part) : project([part.at[0], part.at[1]]);
  return (
    <>
      {served.map(({ device, from, part }) => {
        const weight = device.weight === null ? "unknown" : device.weight;
        const kind = device.joins === "cable" ? "plan-cable" : `plan-served plan-served-${weight}`;
        const isLight = chosen !== null && !chosen.devices.has(device.id);
        return (
          <path
            key={device.id}
            className={isLight ? `${kind} plan-lighter` : kind}
            data-served={device.id}
            d={linePath([project(from), to(part)])}
          />
        );
      })}
      {!projectPart &&
        servedFromElsewhere(served, here).map((part) => {
          const [x, y] = project([part.at[0], part.at[1]]);
          return <circle key={part.id} className="plan-elsewhere" cx={x} cy={y} r="5" />;
        })}
    </>
  );
}

interface MarksProps {
  devices: readonly { readonly device: DeviceSpot["device"]; readonly screen: Point }[];
  selected: Selection | null;
  chosen: Traffic["chosen"];
  /** Scale of the drawing [px/m]. */
  k: number;
}

export function DeviceMarks({ devices, selected, chosen, k }: MarksProps) {
  const size = markScale(k);
  return (
    <>
      {devices.map(({ device, screen: [x, y] }) => {
        const isSelected = selected?.kind === "device" && selected.id === device.id;
        const isLight = chosen !== null && !chosen.devices.has(device.id);
        return (
          <g key={device.id} data-device={device.id} transform={`translate(${x} ${y})`}>
            <g className={isLight ? "plan-lighter" : undefined} transform={`scale(${size})`}>
              {deviceShape(device.joins)}
            </g>
            {isSelected && <circle className="plan-selected" r="8.5" />}
          </g>
        );
      })}
    </>
  );
}

/** A ring by radio, a square by cable, a lozenge by a hub. */
function deviceShape(joins: DeviceSpot["device"]["joins"]): ReactNode {
  if (joins === "cable") return <rect className="plan-device" x="-3.5" y="-3.5" width="7" height="7" />;
  if (joins === "radio") return <circle className="plan-device" r="3.8" />;
  return <path className="plan-device" d="M0,-4.8L4.8,0L0,4.8L-4.8,0Z" />;
}

interface BottleneckProps {
  traffic: Traffic;
  layout: SheetLayout;
  links: readonly DrawnLink[];
  project(p: Point): Point;
}

export function BottleneckMark(props: BottleneckProps) {
  const box = boxOfBottleneck(props);
  return box ? <Brackets {...box} /> : null;
}

interface Box {
  x: number;
  y: number;
  w: number;
  h: number;
}

function boxOfBottleneck({ traffic, layout, links, project }: BottleneckProps): Box | null {
  const place = traffic.bottleneck;
  const about = (at: Point | undefined | null, side: number): Box | null =>
    at ? { x: at[0], y: at[1], w: side, h: side } : null;
  switch (place?.on) {
    case "part": {
      const found = partBox(layout, place.id);
      return found && (found.isListed ? found : about([found.x, found.y], 30));
    }
    case "device":
      return about(layout.devices.find(({ device }) => device.id === place.id)?.screen, 20);
    case "link":
      return about(middleOf(links.find((link) => link.id === place.id)?.points.map(project) ?? []), 20);
    case "demarcation":
      return partBox(layout, "demarcation") ?? about(layout.entry, 28);
    default:
      return null;
  }
}

/** The corners of a box, drawn heavy. */
export function Brackets({ x, y, w, h }: Box) {
  const arm = Math.min(7, h / 3);
  const [left, right, top, bottom] = [x - w / 2, x + w / 2, y - h / 2, y + h / 2];
  const d =
    `M${left},${top + arm}V${top}H${left + arm}M${right - arm},${top}H${right}V${top + arm}` +
    `M${right},${bottom - arm}V${bottom}H${right - arm}M${left + arm},${bottom}H${left}V${bottom - arm}`;
  return <path className="plan-bottleneck" data-bottleneck d={d} />;
}

/** Width of a step of the key, of its unit, and of its number at the end [px]. */
const STEP = 34;
const UNIT = 92;

/** What the weights of lines and the brackets mean. */
export function TrafficKey({ traffic }: { traffic: Traffic }) {
  const { limits } = traffic;
  const isKnown = traffic.devices.some((device) => device.weight !== null);
  const spoken = `${words.airtime}: ${limits.map((limit) => `${limit} %`).join(", ")}`;
  return (
    <>
      {isKnown && (
        <svg
          className="plan-key"
          width={(limits.length + 1) * STEP + UNIT}
          height="34"
          role="img"
          aria-label={spoken}
        >
          {[...limits, ""].map((limit, weight) => (
            <path
              key={limit}
              className={`plan-served plan-key-served plan-served-${weight}`}
              d={`M${weight * STEP + 4},9H${(weight + 1) * STEP - 1}`}
            />
          ))}
          {limits.map((limit, i) => (
            <text key={limit} x={(i + 1) * STEP + 1.5} y="28">
              {limit}
            </text>
          ))}
          <text x={(limits.length + 1) * STEP + 6} y="13" style={{ textAnchor: "start" }}>
            {words.airtimeUnit}
          </text>
        </svg>
      )}
      {traffic.bottleneck && (
        <div className="plan-key-item">
          <svg width="20" height="16" aria-hidden="true">
            <Brackets x={10} y={8} w={16} h={13} />
          </svg>
          {words.bottleneck}
        </div>
      )}
    </>
  );
}
