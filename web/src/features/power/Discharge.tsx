/** A discharge as it goes: the load that is left, stage by stage, until the battery is empty. */

import { useId } from "react";
import { duration, quantity, type Reader, together } from "../../document/format.ts";
import type { BatteryRow } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";

const t = text.power.battery;

const WIDTH = 300;
const HEIGHT = 96;
const TOP = 16;
const LEFT = 52;
const FOOT = 20;

export function Discharge({ battery, reader }: { battery: BatteryRow; reader: Reader }) {
  const title = useId();
  const { stages } = battery;
  const end = Math.max(...stages.map(({ to }) => to));
  const most = Math.max(...stages.map(({ load }) => load));
  if (!(end > 0) || !(most > 0) || !Number.isFinite(end)) return null;
  const x = (seconds: number): number => LEFT + (WIDTH * seconds) / end;
  const y = (watts: number): number => TOP + HEIGHT * (1 - watts / most);
  const watts = (value: number): string => together(quantity(value, "W", reader));
  const said = stages.map(({ from, to, load }) =>
    t.stageSaid(duration(from, reader), duration(to, reader), watts(load)),
  );
  const line = stages.map(
    ({ from, to, load }, i) => `${i === 0 ? "M" : "L"}${x(from)},${y(load)}L${x(to)},${y(load)}`,
  );
  return (
    <section className="discharge" aria-labelledby={title}>
      <h3 id={title}>{t.stagesOf(partTag(battery.id))}</h3>
      <svg
        width={LEFT + WIDTH + 36}
        height={TOP + HEIGHT + FOOT}
        role="img"
        aria-label={`${t.stagesOf(partTag(battery.id))}: ${said.join("; ")}`}
      >
        <path className="discharge-area" d={`${line.join("")}L${x(end)},${y(0)}L${x(0)},${y(0)}Z`} />
        <path className="discharge-line" d={`${line.join("")}L${x(end)},${y(0)}`} />
        <path className="discharge-axis" d={`M${LEFT},${TOP - 6}V${y(0)}H${LEFT + WIDTH + 8}`} />
        {stages.map(({ from, load }, i) => (
          <g key={from}>
            <text
              className="discharge-text"
              x={i === 0 ? LEFT - 6 : x(from) + 5}
              y={y(load) - 4}
              textAnchor={i === 0 ? "end" : "start"}
            >
              {watts(load)}
            </text>
            {i > 0 && <path className="discharge-tick" d={`M${x(from)},${y(0)}v4`} />}
          </g>
        ))}
        <text className="discharge-text" x={LEFT} y={y(0) + 15} textAnchor="middle">
          0
        </text>
        {stages.slice(0, -1).map(({ to }) => (
          <text key={to} className="discharge-text" x={x(to)} y={y(0) + 15} textAnchor="middle">
            {x(to) - LEFT > 34 && LEFT + WIDTH - x(to) > 44 ? duration(to, reader) : ""}
          </text>
        ))}
        <text className="discharge-text" x={x(end)} y={y(0) + 15} textAnchor="middle">
          {duration(end, reader)}
        </text>
      </svg>
    </section>
  );
}
