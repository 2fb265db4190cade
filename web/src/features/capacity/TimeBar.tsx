/** A channel's time as a bar: what of it is what at the median, what is taken in a poor evening, and the limit. */

import { type Part, partsOfTime } from "../../document/capacity.ts";
import { type Reader, share } from "../../document/format.ts";
import type { ChannelHour } from "../../engine/types.ts";
import { text } from "../../text.ts";

const t = text.capacity.channels;
const height = 26;
const top = 8;
const bottom = 22;

const kinds: readonly Part["kind"][] = ["own", "collided", "beacons", "neighbours"];

/** The patterns of the bars, once for all of them. */
export function TimePatterns({ prefix }: { prefix: string }) {
  return (
    <svg className="time-patterns" width="0" height="0" aria-hidden="true">
      <defs>
        <pattern id={`${prefix}-collided`} width="5" height="5" patternUnits="userSpaceOnUse">
          <path className="time-line-heavy" d="M-1,1L1,-1M0,5L5,0M4,6L6,4" />
        </pattern>
        <pattern id={`${prefix}-beacons`} width="3" height="3" patternUnits="userSpaceOnUse">
          <path className="time-line" d="M1.5,0V3" />
        </pattern>
        <pattern id={`${prefix}-neighbours`} width="5" height="5" patternUnits="userSpaceOnUse">
          <circle className="time-dot" cx="1.25" cy="1.25" r="0.9" />
          <circle className="time-dot" cx="3.75" cy="3.75" r="0.9" />
        </pattern>
      </defs>
    </svg>
  );
}

function fillOf(kind: Part["kind"], prefix: string): { className?: string; fill?: string } {
  return kind === "own" ? { className: "time-own" } : { fill: `url(#${prefix}-${kind})` };
}

interface Props {
  channel: ChannelHour;
  prefix: string;
  reader: Reader;
}

const percent = (value: number): string => `${Math.min(100, Math.max(0, 100 * value)).toFixed(2)}%`;

export function TimeBar({ channel, prefix, reader }: Props) {
  const { parts, free } = partsOfTime(channel);
  let from = 0;
  const drawn = parts.map((part) => {
    const start = from;
    from += part.share;
    return { ...part, start };
  });
  const spoken = [
    ...parts.map((p) => `${t[p.kind]} ${share(p.share, reader)}`),
    `${t.free} ${share(free, reader)}`,
  ];
  const label = t.bar(spoken.join(", "), share(channel.busy.poor, reader), share(channel.limit, reader, 0));
  return (
    <svg className="time-bar" width="100%" height={height} role="img" aria-label={label}>
      {drawn.map(({ kind, start, share: wide }) => (
        <rect
          key={kind}
          x={percent(start)}
          y={top}
          width={percent(wide)}
          height={bottom - top}
          {...fillOf(kind, prefix)}
        />
      ))}
      {drawn.slice(1).map(({ kind, start }) => (
        <line key={kind} className="time-edge" x1={percent(start)} x2={percent(start)} y1={top} y2={bottom} />
      ))}
      <line className="time-edge" x1={percent(from)} x2={percent(from)} y1={top} y2={bottom} />
      <rect className="time-frame" x="0" y={top} width="100%" height={bottom - top} />
      <line
        className="time-limit"
        x1={percent(channel.limit)}
        x2={percent(channel.limit)}
        y1="1"
        y2={height}
      />
      <svg x={percent(channel.busy.poor)} y="0" overflow="visible" aria-hidden="true">
        <path className="time-poor" d={`M-4.5,0.5H4.5L0,${top}Z`} />
        <path className="time-edge" d={`M0,${top}V${bottom}`} />
      </svg>
    </svg>
  );
}

/** What the patterns and marks of the bars mean. */
export function TimeKey({ prefix }: { prefix: string }) {
  return (
    <ul className="time-key" aria-hidden="true">
      {kinds.map((kind) => (
        <li key={kind}>
          <svg width="22" height="13" aria-hidden="true">
            <rect x="0.5" y="0.5" width="21" height="12" {...fillOf(kind, prefix)} />
            <rect className="time-frame" x="0.5" y="0.5" width="21" height="12" />
          </svg>
          {t[kind]}
        </li>
      ))}
      <li>
        <svg width="22" height="13" aria-hidden="true">
          <rect className="time-frame" x="0.5" y="0.5" width="21" height="12" />
        </svg>
        {t.free}
      </li>
      <li>
        <svg width="12" height="13" aria-hidden="true">
          <path className="time-poor" d="M1.5,0.5H10.5L6,8Z" />
          <path className="time-edge" d="M6,8V13" />
        </svg>
        {t.poorMark}
      </li>
      <li>
        <svg width="8" height="15" aria-hidden="true">
          <line className="time-limit" x1="4" x2="4" y1="0" y2="15" />
        </svg>
        {t.limitMark}
      </li>
    </ul>
  );
}
