/** The chosen service in the margin: how long it is down, what it hangs on, its smallest cuts, and what outages do to it. */

import { useId } from "react";
import { duration, number, type Reader, share } from "../../document/format.ts";
import { cutsInOrder, isHeld, protectedFirst, serviceId } from "../../document/staying.ts";
import type { Member, ServiceRow, StayingAnswer } from "../../engine/types.ts";
import { CauseGlyph } from "../../plan/CauseGlyph.tsx";
import { text } from "../../text.ts";
import { Known as Value } from "../../ui/Cells.tsx";
import { ShareBar } from "./CutSchedules.tsx";
import {
  alternativeText,
  cutTitle,
  type Known,
  minutesRange,
  minutesValue,
  plainNumber,
  roughMinutes,
  serviceName,
  shapeOf,
  thingName,
  thingTitle,
  upShare,
} from "./words.ts";

const t = text.resilience;

/** Of the cuts and of what matters, so many stand in the margin; the schedules have all. */
const mostShown = 5;

interface Props {
  answer: StayingAnswer;
  known: Known;
  service: ServiceRow | null;
  cut: number | null;
  /** Things of the cut that is shown which have no place on the plan. */
  unplaced: readonly string[];
  /** Said while the answer is of an older revision. */
  staleNote: string | null;
  onService(service: ServiceRow): void;
  onCut(cut: number | null): void;
  onThing(thing: Pick<Member, "id" | "kind">): void;
}

export function headline(service: ServiceRow | null, answer: StayingAnswer, known: Known): string {
  if (!service) return t.headline.noServices;
  const name = serviceName(service, known);
  const { minutes } = service;
  const said = minutes
    ? t.headline.must(name, t.minutes(minutesValue(minutes, known.reader)))
    : t.headline.unknown(name);
  const noneMust = answer.staying.services.every((row) => !row.must_stay_up);
  return noneMust ? `${said} ${t.headline.noneMust}` : said;
}

export function ServicePanel(props: Props) {
  const { answer, known, service, staleNote, onService } = props;
  const choice = useId();
  const services = protectedFirst(answer.staying.services);
  return (
    <section className="details" aria-labelledby="staying-title">
      <h2 id="staying-title" className="margin-title">
        {t.title}
      </h2>
      {staleNote && <p className="stale-line">{staleNote}</p>}
      <p className="probe-verdict">{headline(service, answer, known)}</p>
      {service && (
        <>
          <div className="field service-choice">
            <label htmlFor={choice}>{t.service.choose}</label>
            <select
              id={choice}
              value={serviceId(service)}
              onChange={({ target }) => {
                const next = services.find((row) => serviceId(row) === target.value);
                if (next) onService(next);
              }}
            >
              {services.map((row) => (
                <option key={serviceId(row)} value={serviceId(row)}>
                  {serviceName(row, known)}
                  {row.must_stay_up ? `, ${t.mustStayUp}` : ""}
                </option>
              ))}
            </select>
          </div>
          <Figures service={service} reader={known.reader} />
          <SinglePoints {...props} service={service} />
          <Cuts {...props} service={service} />
          <Matters {...props} service={service} />
          <Mains service={service} reader={known.reader} />
          <Alternatives service={service} reader={known.reader} />
        </>
      )}
      {answer.staying.assumptions.length > 0 && (
        <details className="probe-sources">
          <summary>{t.assumptions}</summary>
          <ul className="plain-list">
            {answer.staying.assumptions.map((said) => (
              <li key={said}>{said}</li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}

function Figures({ service, reader }: { service: ServiceRow; reader: Reader }) {
  const { minutes, missing } = service;
  const usual = service.usual_minutes;
  const dies = service.minutes_if_line_dies;
  return (
    <dl className="lines">
      <div>
        <dt>{t.service.down}</dt>
        <dd>
          <Value
            value={minutes && t.minutes(minutesValue(minutes, reader))}
            note={minutes ? minutesRange(minutes, reader) : t.unknownNeeds(missing)}
          />
        </dd>
      </div>
      {minutes && (
        <div>
          <dt>{t.service.up}</dt>
          <dd>
            <Value value={upShare(minutes, reader)} />
          </dd>
        </div>
      )}
      {usual !== null && service.alternatives.length > 0 && (
        <div>
          <dt>{t.service.usual}</dt>
          <dd>
            <Value value={roughMinutes(usual, reader)} />
          </dd>
        </div>
      )}
      {dies !== null && (
        <div>
          <dt>{t.service.ifLineDies}</dt>
          <dd>
            <Value value={roughMinutes(dies, reader)} />
          </dd>
        </div>
      )}
    </dl>
  );
}

type ServiceProps = Props & { service: ServiceRow };

function SinglePoints({ answer, service, known, onThing }: ServiceProps) {
  const { components } = answer.staying;
  const all = [...new Map(service.single_points.map((m) => [`${m.kind} ${m.id}`, m])).values()];
  const isSure = (member: Member) => isHeld({ members: [member], minutes: null }, components);
  const points = all.filter((member) => !isSure(member));
  const held = all.filter(isSure);
  return (
    <section>
      <h3>{t.service.singlePoints}</h3>
      {points.length === 0 ? (
        <p className="quiet-line">{t.service.singlePointsNone}</p>
      ) : (
        <ul className="plain-list things">
          {points.map((member) => (
            <li key={`${member.kind} ${member.id}`}>
              <CauseGlyph shape={shapeOf(member, known.design)} />
              <button type="button" className="row-choice" onClick={() => onThing(member)}>
                {thingTitle(member, known)}
              </button>
            </li>
          ))}
        </ul>
      )}
      {held.length > 0 && (
        <p className="quiet-line">
          {t.service.heldThings(t.together(held.map((member) => thingName(member, known))))}
        </p>
      )}
    </section>
  );
}

function Cuts({ answer, service, known, cut, unplaced, onCut }: ServiceProps) {
  const shown = cutsInOrder(service).slice(0, mostShown);
  const own = cut === null ? null : (service.cuts[cut] ?? null);
  const isBeyond = own !== null && cut !== null && !shown.includes(cut);
  const { digits } = service.minutes ?? { digits: 1 };
  const line = (place: number) => {
    const of = service.cuts[place];
    if (!of) return null;
    const said = cutTitle(of, known);
    const isShown = place === cut;
    return (
      <li key={place} className={isShown ? "cut shown" : "cut"}>
        <button
          type="button"
          className="row-choice"
          aria-pressed={isShown}
          aria-label={isShown ? `${t.service.hideCut}, ${said}` : t.service.showCut(said)}
          onClick={() => onCut(isShown ? null : place)}
        >
          {said}
        </button>
        <span className="figure-note">
          {isHeld(of, answer.staying.components)
            ? t.service.held
            : of.minutes === null
              ? text.unknown
              : t.minutes(plainNumber(of.minutes, digits, known.reader))}
        </span>
        {isShown && <span className="under">{t.service.onPlan}</span>}
      </li>
    );
  };
  return (
    <section>
      <h3>{t.service.cuts}</h3>
      {shown.length === 0 ? (
        <p className="quiet-line">{t.service.cutsNone}</p>
      ) : (
        <ol className="plain-list cuts">
          {shown.map(line)}
          {isBeyond && cut !== null && line(cut)}
        </ol>
      )}
      {own && unplaced.length > 0 && <p className="quiet-line">{t.service.unplaced(t.together(unplaced))}</p>}
      {service.cuts.length > mostShown && (
        <p className="quiet-line">{t.service.cutsMore(service.cuts.length - mostShown)}</p>
      )}
    </section>
  );
}

function Matters({ service, known, onThing }: ServiceProps) {
  const shown = service.importances.slice(0, mostShown);
  return (
    <section>
      <h3>{t.service.matters}</h3>
      {shown.length === 0 ? (
        <p className="quiet-line">{t.service.mattersNone}</p>
      ) : (
        <table className="schedule matters">
          <caption className="spoken">{t.service.matters}</caption>
          <thead className="spoken">
            <tr>
              <th scope="col">{t.importances.thing}</th>
              <th scope="col">
                {t.importances.criticality}, {t.importances.criticalityNote}
              </th>
            </tr>
          </thead>
          <tbody>
            {shown.map((row) => (
              <tr key={`${row.kind} ${row.id}`}>
                <th scope="row">
                  <CauseGlyph shape={shapeOf(row, known.design)} />{" "}
                  <button type="button" className="row-choice" onClick={() => onThing(row)}>
                    {thingName(row, known)}
                  </button>
                </th>
                <td className="right">
                  <ShareBar value={row.criticality} />
                  <span className="figure">{share(row.criticality, known.reader, 0)}</span>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </section>
  );
}

function Mains({ service, reader }: { service: ServiceRow; reader: Reader }) {
  const { mains } = service;
  if (mains.outlasts === null && mains.ridden === null && mains.minutes === null) {
    return (
      <section>
        <h3>{t.service.mains}</h3>
        <p className="quiet-line">{t.service.mainsNone}</p>
      </section>
    );
  }
  const both = (one: string | null, other: string | null) =>
    one === null || other === null ? null : t.service.riddenLaws(one, other);
  const percent = (value: number | null) => (value === null ? null : `${number(100 * value, reader)}\u00a0%`);
  const minutes = (value: number | null) => (value === null ? null : roughMinutes(value, reader));
  return (
    <section>
      <h3>{t.service.mains}</h3>
      <dl className="lines stacked">
        <div>
          <dt>{t.service.outlasts}</dt>
          <dd>
            <Value
              value={
                mains.outlasts === null
                  ? null
                  : mains.outlasts > 0
                    ? duration(mains.outlasts, reader)
                    : t.service.outlastsNot
              }
            />
          </dd>
        </div>
        <div>
          <dt>{t.service.ridden}</dt>
          <dd>{both(percent(mains.ridden), percent(mains.ridden_long_tailed)) ?? <Value value={null} />}</dd>
        </div>
        <div>
          <dt>{t.service.lost}</dt>
          <dd>
            {both(minutes(mains.minutes), minutes(mains.minutes_long_tailed)) ?? <Value value={null} />}
          </dd>
        </div>
      </dl>
      {mains.if_line_holds && <p className="untested">{t.service.untested}</p>}
      <p className="quiet-line">{t.service.lawNote}</p>
    </section>
  );
}

function Alternatives({ service, reader }: { service: ServiceRow; reader: Reader }) {
  return (
    <section>
      <h3>{t.service.alternatives}</h3>
      {service.alternatives.length === 0 ? (
        <p className="quiet-line">{t.service.alternativesNone}</p>
      ) : (
        <ul className="plain-list">
          {service.alternatives.map((other) => (
            <li key={`${other.kind} ${other.by}`}>
              {alternativeText(other)}
              <span className="under">
                {other.rate_share === null
                  ? t.service.rateUnknown
                  : t.service.rate(share(other.rate_share, reader, 0))}
              </span>
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
