/** The headline in the margin: what is full first, how much room is left, and what is known of what is selected. */

import type { Selected } from "../../document/address.ts";
import { channelId, isMet, joinOf } from "../../document/capacity.ts";
import { clock, megahertz, number, type Reader, rate, share } from "../../document/format.ts";
import type { CapacityAnswer, Figure } from "../../engine/types.ts";
import { partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";
import { FigureInterval, FigureValue } from "../../ui/FigureText.tsx";
import { activityName, bottleneckSentence, channelName, radioName } from "./words.ts";

const t = text.capacity;

interface Props {
  answer: CapacityAnswer;
  headroom: Figure | null;
  selected: Selected | null;
  /** How a device is served, in words. */
  servedText(device: string): string;
  /** Said while the answer is of an older revision. */
  staleNote: string | null;
  reader: Reader;
  onClear(): void;
}

export function CapacityPanel(props: Props) {
  const { answer, headroom, staleNote, reader } = props;
  const { hour, evenings, bottleneck, activities, sources } = answer.capacity;
  const known = activities.filter((activity) => isMet(activity) !== null);
  const met = known.filter((activity) => isMet(activity)).length;
  const when = hour === null ? t.noHour : t.hour(clock(hour, reader.locale), clock(hour + 1, reader.locale));
  return (
    <>
      <section className="details" aria-labelledby="capacity-title">
        <h2 id="capacity-title" className="margin-title">
          {t.title} <span className="quiet">{when}</span>
        </h2>
        {staleNote && <p className="capacity-stale">{staleNote}</p>}
        <p className="probe-verdict">{bottleneckSentence(bottleneck, reader)}</p>
        <dl className="lines">
          <div>
            <dt title={t.headroomMeaning}>{t.headroom}</dt>
            <dd>
              <FigureValue figure={headroom} reader={reader} />
              <FigureInterval figure={headroom} reader={reader} />
            </dd>
          </div>
          {activities.length > 0 && (
            <div>
              <dt>{t.met}</dt>
              <dd className="figure">
                {t.metOf(number(met, reader), number(activities.length, reader))}
                {known.length < activities.length && (
                  <span className="figure-note">
                    {t.metUnknown(number(activities.length - known.length, reader))}
                  </span>
                )}
              </dd>
            </div>
          )}
        </dl>
        <p className="quiet-line capacity-evenings">{t.evenings(number(evenings, reader))}</p>
        {sources.length > 0 && (
          <details className="probe-sources">
            <summary>{t.sources}</summary>
            <ul className="plain-list">
              {sources.map((source) => (
                <li key={source.cite}>
                  {source.cite}
                  {source.from_memory ? `, ${text.keynotes.fromMemory}` : ""}
                </li>
              ))}
            </ul>
          </details>
        )}
      </section>
      <SelectedLines {...props} />
    </>
  );
}

function SelectedLines(props: Props) {
  const content = describe(props);
  if (!content) return null;
  return (
    <section className="details" aria-labelledby="capacity-selected">
      <div className="details-head">
        <h2 id="capacity-selected" className="margin-title">
          {content.title}
        </h2>
        <button type="button" className="button quiet" onClick={props.onClear}>
          {t.clear}
        </button>
      </div>
      <dl className="lines">
        {content.lines.map(([label, value]) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

type Line = [label: string, value: string];

function describe({ answer, selected, servedText, reader }: Props): { title: string; lines: Line[] } | null {
  const { capacity } = answer;
  switch (selected?.kind) {
    case "device":
    case "activity": {
      const own = capacity.activities.filter((a) =>
        selected.kind === "device" ? a.device === selected.id : a.id === selected.id,
      );
      const device = selected.kind === "device" ? selected.id : own[0]?.device;
      if (device === undefined) return null;
      const airtime = joinOf(answer, device)?.airtime ?? null;
      const [first] = own;
      return {
        title: selected.kind === "activity" && first ? activityName(first) : partTag(device),
        lines: [
          ...(selected.kind === "activity" ? [[t.activities.device, partTag(device)] satisfies Line] : []),
          [t.selectedServed, servedText(device)],
          ...(airtime === null
            ? []
            : [
                [
                  t.selectedAirtime,
                  `${share(airtime.median, reader)}, ${share(airtime.poor, reader)}`,
                ] satisfies Line,
              ]),
          ...own.map(
            (a): Line => [
              `${activityName(a)}, ${a.id}`,
              a.met === null ? text.unknown : t.metShare(share(a.met, reader)),
            ],
          ),
        ],
      };
    }
    case "part":
    case "channel": {
      const own = capacity.channels.filter((c) =>
        selected.kind === "part" ? c.part === selected.id : channelId(c.part, c.band) === selected.id,
      );
      if (own.length === 0 || !own[0]) return null;
      return {
        title: selected.kind === "part" ? partTag(selected.id) : radioName(own[0]),
        lines: own.flatMap((c): Line[] => {
          const place = [channelName(answer, c, reader), megahertz(c.width, reader)];
          return [
            [`${t.channels.channel}, ${t.band(c.band)}`, place.join(", ")],
            [`${t.channels.devices}, ${t.band(c.band)}`, number(c.devices, reader)],
            [`${t.taken}, ${t.band(c.band)}`, share(c.busy.poor, reader)],
          ];
        }),
      };
    }
    case "uplink": {
      const way = capacity.uplinks.find((uplink) => uplink.part === selected.id);
      if (!way) return null;
      return {
        title: t.uplinks.between(partTag(way.parent), partTag(way.part)),
        lines: [
          [t.uplinks.over, way.band === null ? t.uplinks.cable : t.uplinks.radio(t.band(way.band))],
          [t.uplinks.rateDown, rate(way.rate_down, reader)],
          [t.uplinks.rateUp, rate(way.rate_up, reader)],
        ],
      };
    }
    case "line": {
      const { line } = capacity;
      if (!line) return null;
      return {
        title: partTag(line.line),
        lines: [
          [t.line.down, rate(line.rate_down, reader)],
          [t.line.up, rate(line.rate_up, reader)],
        ],
      };
    }
    default:
      return null;
  }
}
