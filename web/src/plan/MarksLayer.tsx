// Marks on things of the plan: what a cut holds, what is switched off and who is down by it, what a line of a schedule
// is about. Each kind of mark has a shape of its own.

import { linePath } from "../geometry/path.ts";
import { causeShape } from "./CauseGlyph.tsx";
import type { House, PlacedPart, PlanMark, Storey } from "./contract.ts";
import { markScale } from "./devices.ts";
import type { SheetLayout } from "./layout.ts";
import { type DrawnLink, middleOf } from "./links.ts";
import { type PartBox, partBox } from "./SheetMarks.tsx";
import { words } from "./words.ts";

type Point = readonly [number, number];

/** Where a thing is drawn [px]: a place, or a row of a list; null if it is not on this drawing. */
export type Placing = (mark: Pick<PlanMark, "on" | "id">) => Point | PartBox | null;

const isRow = (place: Point | PartBox): place is PartBox => "isListed" in place;

/** The place of a thing, or its row where it is in a list. */
const rowOrPoint = (box: PartBox | null): Point | PartBox | null =>
  box === null || box.isListed ? box : [box.x, box.y];

const middle = (place: Point | PartBox): Point => (isRow(place) ? [place.x, place.y] : place);

interface PlacingInput {
  layout: SheetLayout;
  storey: Storey;
  links: readonly DrawnLink[];
  /** Ends of all links of the design, drawn or not. */
  ends: readonly { id: string; from: string; to: string }[];
  project(p: Point): Point;
}

/** Places on the drawing of one storey. */
export function placingOn({ layout, storey, links, ends, project }: PlacingInput): Placing {
  const part = (id: string) => rowOrPoint(partBox(layout, id));
  const device = (id: string): Point | null =>
    layout.devices.find((mark) => mark.device.id === id)?.screen ?? null;
  return ({ on, id }) => {
    switch (on) {
      case "part":
        return part(id);
      case "device":
        return device(id);
      case "demarcation":
        return rowOrPoint(partBox(layout, "demarcation")) ?? layout.entry;
      case "outlet": {
        const outlet = storey.outlets.find((o) => o.id === id);
        return outlet ? project(outlet.at) : null;
      }
      case "link": {
        const drawn = links.find((link) => link.id === id);
        if (drawn) return middleOf(drawn.points.map(project));
        const link = ends.find((l) => l.id === id);
        const [a, b] = [
          link && (part(link.from) ?? device(link.from)),
          link && (part(link.to) ?? device(link.to)),
        ];
        if (!a || !b) return a ?? b ?? null;
        const [[ax, ay], [bx, by]] = [middle(a), middle(b)];
        return [(ax + bx) / 2, (ay + by) / 2];
      }
    }
  };
}

interface Props {
  marks: readonly PlanMark[];
  placing: Placing;
  links: readonly DrawnLink[];
  /** Scale of the drawing [px/m]: marks of devices are drawn as large as the devices. */
  k: number;
  project(p: Point): Point;
}

export function MarksLayer({ marks, placing, links, k, project }: Props) {
  return (
    <>
      {marks.map((mark) => {
        const link = mark.on === "link" ? links.find(({ id }) => id === mark.id) : undefined;
        return link ? (
          <path
            key={`${mark.state} ${mark.id}`}
            className={`plan-marked-line plan-marked-${mark.state}`}
            d={linePath(link.points.map(project))}
          />
        ) : null;
      })}
      {marks.map((mark) => {
        const place = placing(mark);
        if (!place) return null;
        const at = middle(place);
        return (
          <g
            key={`${mark.state} ${mark.on} ${mark.id}`}
            data-mark={`${mark.state}:${mark.id}`}
            transform={`translate(${at[0]} ${at[1]})`}
          >
            <g transform={mark.on === "device" ? `scale(${0.9 * markScale(k)})` : undefined}>
              {isRow(place) ? <RowMark mark={mark} row={place} /> : <Mark mark={mark} />}
            </g>
          </g>
        );
      })}
    </>
  );
}

/** Centre of the disc that says what kind of thing it is, from the thing [px]. */
const DISC = 15;

function Mark({ mark: { state, shape } }: { mark: Pick<PlanMark, "state" | "shape"> }) {
  switch (state) {
    case "cut":
      return (
        <>
          <circle className="plan-mark-ring" r="12.5" />
          <g transform={`translate(${DISC} ${-DISC})`}>
            <circle className="plan-mark-disc" r="10.5" />
            <g className="plan-mark-sign">{causeShape(shape)}</g>
          </g>
        </>
      );
    case "off":
      return (
        <>
          <path className="plan-mark-halo" d="M-10,-10L10,10M10,-10L-10,10" />
          <path className="plan-mark-off" d="M-10,-10L10,10M10,-10L-10,10" />
        </>
      );
    case "lost":
      return (
        <>
          <circle className="plan-mark-lost" r="8.5" />
          <path className="plan-mark-off" d="M-6,6L6,-6" />
        </>
      );
    case "other":
      return <path className="plan-mark-other" d="M0,-8.5A8.5,8.5 0 0 1 0,8.5" />;
    case "about":
      return <circle className="plan-mark-ring" r="13" />;
  }
}

/** A mark on a row of a list: about the row, with its sign before it. */
function RowMark({ mark: { state, shape }, row: { w, h } }: { mark: PlanMark; row: PartBox }) {
  const left = -w / 2;
  const frame = <rect className="plan-mark-ring" x={left} y={-h / 2} width={w} height={h} />;
  switch (state) {
    case "cut":
      return (
        <>
          {frame}
          <g transform={`translate(${left - 11} 0)`}>
            <circle className="plan-mark-disc" r="10.5" />
            <g className="plan-mark-sign">{causeShape(shape)}</g>
          </g>
        </>
      );
    case "off":
      return (
        <>
          <path className="plan-mark-off" d={`M${left},0H${-left}`} />
          <g transform={`translate(${left - 10} 0) scale(0.8)`}>
            <path className="plan-mark-halo" d="M-10,-10L10,10M10,-10L-10,10" />
            <path className="plan-mark-off" d="M-10,-10L10,10M10,-10L-10,10" />
          </g>
        </>
      );
    default:
      return frame;
  }
}

/** Places in the stacked view, where each storey has marks and devices of its own. */
export function placingOnLevel(input: {
  house: House;
  storey: Storey;
  parts: readonly PlacedPart[];
  devices: readonly { readonly device: { id: string }; readonly at: Point }[];
  links: readonly DrawnLink[];
  project(p: Point): Point;
}): Placing {
  const { house, storey, parts, devices, links, project } = input;
  return ({ on, id }) => {
    switch (on) {
      case "part": {
        const part = parts.find((p) => p.id === id);
        return part ? project([part.at[0], part.at[1]]) : null;
      }
      case "device": {
        const found = devices.find(({ device }) => device.id === id);
        return found ? project(found.at) : null;
      }
      case "demarcation":
        return house.demarcation?.storey === storey.id ? project(house.demarcation.at) : null;
      case "outlet": {
        const outlet = storey.outlets.find((o) => o.id === id);
        return outlet ? project(outlet.at) : null;
      }
      case "link": {
        const drawn = links.find((link) => link.id === id);
        return drawn ? middleOf(drawn.points.map(project)) : null;
      }
    }
  };
}

const STATES = ["cut", "off", "lost", "other", "about"] as const;

/** What the marks mean. */
export function MarksKey({ marks }: { marks: readonly PlanMark[] }) {
  const shown = STATES.filter((state) => marks.some((mark) => mark.state === state));
  return shown.map((state) => (
    <div key={state} className="plan-key-item">
      <svg width={state === "cut" ? 44 : 26} height="26" aria-hidden="true" className="plan-mark-key">
        <g transform={state === "cut" ? "translate(14 17) scale(0.8)" : "translate(13 13) scale(0.85)"}>
          <Mark mark={{ state, shape: marks.find((mark) => mark.state === state)?.shape ?? "part" }} />
        </g>
      </svg>
      {words.marks[state]}
    </div>
  ));
}
