// Labels where `placeLabels` put them, in pixels.

import type { ReactNode } from "react";
import type { Candidate } from "../geometry/placement.ts";
import { CAP_HEIGHT, type Face, LINE_HEIGHT } from "../geometry/text.ts";
import type { Keynote, Severity } from "./contract.ts";
import { faces, KEYNOTE_RADIUS, PART_RADIUS, ROW_HEIGHT } from "./label-style.ts";
import type { Label, SheetLabels } from "./labels.ts";
import { SYMBOLS_ONLY } from "./places.ts";
import { PartSymbol } from "./Symbols.tsx";

/** Drawn from the bottom up: what matters most is on top, though nothing overlaps. */
export function LabelLayer({ labels }: { labels: SheetLabels }) {
  const drawn: ReactNode[] = [];
  for (const [id, place] of labels.placed) {
    const label = labels.labels.get(id);
    if (label) drawn.push(<PlacedLabel key={id} label={label} place={place} />);
  }
  return <>{drawn}</>;
}

function PlacedLabel({ label, place }: { label: Label; place: Candidate }) {
  return (
    <g>
      {place.leader && (
        <path
          className="plan-leader"
          d={`M${round(place.leader[0][0])},${round(place.leader[0][1])}L${round(place.leader[1][0])},${round(place.leader[1][1])}`}
        />
      )}
      <g transform={transformOf(place)}>{content(label, place)}</g>
    </g>
  );
}

function content(label: Label, place: Candidate): ReactNode {
  switch (label.kind) {
    case "room": {
      const form = label.forms[place.form ?? 0];
      if (!form) return null;
      const height = form.lines.reduce((sum, line) => sum + line.face.size * LINE_HEIGHT, 0);
      let top = -height / 2;
      return form.lines.map((line) => {
        const y = top + (line.face.size * (LINE_HEIGHT + CAP_HEIGHT)) / 2;
        top += line.face.size * LINE_HEIGHT;
        const quiet = line.face === faces.area;
        return (
          <Line key={line.text} text={line.text} face={line.face} y={y} kind={quiet ? "area" : "room"} />
        );
      });
    }
    case "contour": {
      const face = label.line.isTarget ? faces.target : faces.contour;
      return (
        <Line
          text={label.text}
          face={face}
          y={baseline(face)}
          kind={label.line.isTarget ? "target" : "contour"}
        />
      );
    }
    case "tag": {
      const face = label.face ?? (label.quiet ? faces.object : faces.tag);
      return <Line text={label.text} face={face} y={baseline(face)} kind={label.quiet ? "quiet" : "tag"} />;
    }
    case "cable": {
      const face = label.isChosen ? faces.tag : faces.wire;
      const said = label.forms[place.form ?? 0] ?? "";
      return (
        <Line text={said} face={face} y={baseline(face)} kind={label.isChosen ? "wire-chosen" : "wire"} />
      );
    }
    case "block": {
      const lines = label.forms[place.form ?? 0] ?? [];
      let top = -place.box.h / 2;
      return lines.map(({ text, face }) => {
        const y = top + (face.size * (LINE_HEIGHT + CAP_HEIGHT)) / 2;
        top += face.size * LINE_HEIGHT;
        return (
          <text
            key={text}
            className={`plan-label plan-label-${face === faces.tag ? "tag" : "quiet"}`}
            x={round(-place.box.w / 2 + 2)}
            y={round(y)}
            fontSize={face.size}
            fontWeight={face.weight}
            style={{ textAnchor: "start" }}
          >
            {text}
          </text>
        );
      });
    }
    case "keynote":
      return <KeynoteMark keynote={label.keynote} />;
    case "spot": {
      const { w, h } = place.box;
      if (place.form === SYMBOLS_ONLY) {
        return (
          <>
            <rect className="plan-spot" x={-w / 2} y={-h / 2} width={w} height={h} />
            {label.spot.parts.map(({ id, kind }, column) => (
              <PartSymbol key={id} kind={kind} x={-w / 2 + 3 + ROW_HEIGHT * (column + 0.5)} y={0} />
            ))}
          </>
        );
      }
      return (
        <>
          <rect className="plan-spot" x={-w / 2} y={-h / 2} width={w} height={h} />
          {label.spot.parts.map(({ id, kind, tag }, row) => {
            const y = -h / 2 + 3 + ROW_HEIGHT * (row + 0.5);
            const left = -w / 2 + PART_RADIUS + 5;
            return (
              <g key={id}>
                <PartSymbol kind={kind} x={left} y={y} />
                <text
                  className="plan-label plan-label-plain"
                  x={left + PART_RADIUS + 5}
                  y={y + baseline(faces.tag)}
                  fontSize={faces.tag.size}
                  fontWeight={faces.tag.weight}
                  textAnchor="start"
                  style={{ textAnchor: "start" }}
                >
                  {tag}
                </text>
              </g>
            );
          })}
        </>
      );
    }
  }
}

function Line({ text, face, y, kind }: { text: string; face: Face; y: number; kind: string }) {
  return (
    <text
      className={`plan-label plan-label-${kind}`}
      y={round(y)}
      fontSize={face.size}
      fontWeight={face.weight}
    >
      {text}
    </text>
  );
}

const round = (n: number): number => Math.round(n * 100) / 100;

/** Severity by shape as well as colour: octagon, disc, diamond, ring. */
const SHAPE: Record<Severity, string> = {
  unsafe: polygon(8, KEYNOTE_RADIUS, Math.PI / 8),
  fails: circle(KEYNOTE_RADIUS - 1),
  risk: polygon(4, KEYNOTE_RADIUS + 1.5, 0),
  note: circle(KEYNOTE_RADIUS - 1),
};

export function KeynoteMark({ keynote }: { keynote: Keynote }) {
  const size = keynote.n > 99 ? 9 : faces.note.size;
  return (
    <g className={`plan-keynote plan-keynote-${keynote.severity}`} data-keynote={keynote.id}>
      <path d={SHAPE[keynote.severity]} />
      <text y={round(size * CAP_HEIGHT * 0.5)} fontSize={size} fontWeight={faces.note.weight}>
        {keynote.n}
      </text>
    </g>
  );
}

function polygon(corners: number, radius: number, turn: number): string {
  let d = "";
  for (let i = 0; i < corners; i++) {
    const angle = turn + (i * 2 * Math.PI) / corners;
    d += `${i === 0 ? "M" : "L"}${round(radius * Math.cos(angle))},${round(radius * Math.sin(angle))}`;
  }
  return `${d}Z`;
}

function circle(r: number): string {
  return `M${-r},0A${r},${r} 0 1 1 ${r},0A${r},${r} 0 1 1 ${-r},0Z`;
}

const baseline = (face: Face): number => (face.size * CAP_HEIGHT) / 2;

/** Upright labels stand on whole half pixels, so that they are crisp. */
function transformOf({ box }: Candidate): string {
  if (box.angle === 0) return `translate(${Math.round(box.x * 2) / 2} ${Math.round(box.y * 2) / 2})`;
  return `translate(${round(box.x)} ${round(box.y)}) rotate(${round((box.angle * 180) / Math.PI)})`;
}
