/** What if something is off: what is off, who loses what by it, and the way back. */

import { useState } from "react";
import { losses } from "../../document/staying.ts";
import type { ComponentRow, Fared, WhatIfAnswer } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { Field } from "../../ui/Field.tsx";
import { Failure } from "../../ui/Notice.tsx";
import { SwitchButton } from "./ComponentSchedule.tsx";
import { alternativeText, type Known, roughMinutes, serviceName, thingName, thingTitle } from "./words.ts";

const t = text.resilience;

interface Props {
  known: Known;
  off: readonly string[];
  /** For how many minutes what is off of the mains has been out; for good if null. */
  outMinutes: number | null;
  components: readonly ComponentRow[];
  /** The thing that is selected, if it can be switched. */
  chosen: ComponentRow | null;
  /** Something is selected that no service hangs on. */
  isIdle: boolean;
  answer: WhatIfAnswer | null;
  isWorking: boolean;
  error: Error | null;
  onSwitch(id: string): void;
  onUndo(): void;
  onAllOn(): void;
  onAgain(): void;
  onMinutes(minutes: number | null): void;
}

/** What happens, in a sentence; also announced. */
export function whatIfSentence(answer: WhatIfAnswer): string {
  const count = (state: Fared["state"]) =>
    answer.what_if.services.filter((service) => service.state === state).length;
  return t.whatIf.result(count("down"), count("alternative"), count("unknown"));
}

export function nameOfOff(id: string, components: readonly ComponentRow[], known: Known): string {
  const component = components.find((row) => row.id === id);
  return component ? thingName(component, known) : id;
}

export function WhatIfPanel(props: Props) {
  const { known, off, components, chosen, isIdle, answer, isWorking, error, onSwitch } = props;
  const name = (id: string) => nameOfOff(id, components, known);
  const isSupply = components.some(
    ({ id, kind }) => (kind === "mains" || kind === "circuit") && off.includes(id),
  );
  return (
    <section className="details what-if" aria-labelledby="what-if-title">
      <div className="details-head">
        <h2 id="what-if-title" className="margin-title">
          {t.whatIf.title}
        </h2>
        {off.length > 1 && (
          <button type="button" className="button quiet" onClick={props.onAllOn}>
            {t.whatIf.allOn}
          </button>
        )}
      </div>
      {off.length === 0 && !chosen && !isIdle && <p className="quiet-line">{t.whatIf.hint}</p>}
      {isIdle && <p className="quiet-line">{t.whatIf.cannot}</p>}
      {chosen && (
        <p className="what-if-chosen">
          <span>{thingTitle(chosen, known)}</span>
          <SwitchButton
            name={thingName(chosen, known)}
            isOff={off.includes(chosen.id)}
            onSwitch={() => onSwitch(chosen.id)}
          />
        </p>
      )}
      {off.length > 0 && (
        <>
          <h3>{t.whatIf.off}</h3>
          <ul className="plain-list what-if-off">
            {off.map((id) => (
              <li key={id}>
                <span>{name(id)}</span>
                {id !== chosen?.id && <SwitchButton name={name(id)} isOff onSwitch={() => onSwitch(id)} />}
              </li>
            ))}
          </ul>
          {isSupply && <OutFor minutes={props.outMinutes} onMinutes={props.onMinutes} />}
          <button type="button" className="button" onClick={props.onUndo}>
            {t.whatIf.undo}
          </button>
          {error && !isWorking ? (
            <Failure error={error} title={t.whatIf.failed} onAgain={props.onAgain} />
          ) : answer ? (
            <Outcome answer={answer} known={known} name={name} isWorking={isWorking} />
          ) : (
            <p className="quiet-line">{t.whatIf.working}</p>
          )}
        </>
      )}
    </section>
  );
}

/** Longest outage that is asked about [min]: a little less than two years. */
const longest = 999_999;

/** For how long the mains have been out: until batteries are empty, they carry. */
function OutFor({ minutes, onMinutes }: { minutes: number | null; onMinutes(minutes: number | null): void }) {
  const [typed, setTyped] = useState(minutes === null ? "" : String(minutes));
  return (
    <Field label={t.whatIf.minutes} hint={t.whatIf.minutesHint}>
      {(wiring) => (
        <input
          {...wiring}
          type="number"
          min={0}
          max={longest}
          step={1}
          value={typed}
          onChange={({ target }) => {
            setTyped(target.value);
            const whole = Math.round(Number(target.value));
            if (target.value === "") onMinutes(null);
            else if (whole >= 0 && whole <= longest) onMinutes(whole);
          }}
        />
      )}
    </Field>
  );
}

interface OutcomeProps {
  answer: WhatIfAnswer;
  known: Known;
  isWorking: boolean;
  name(id: string): string;
}

function Outcome({ answer, known, name, isWorking }: OutcomeProps) {
  const { services, without_effect: idle } = answer.what_if;
  const lost = losses(services);
  return (
    <div className={isWorking ? "what-if-outcome stale" : "what-if-outcome"}>
      <p className="probe-verdict">{whatIfSentence(answer)}</p>
      {lost.length > 0 && (
        <ul className="plain-list" aria-label={t.whatIf.loses}>
          {lost.map((service) => (
            <li key={`${service.kind} ${service.id}`}>
              <span className={`state state-${service.state}`}>{t.states[service.state]}</span>{" "}
              {serviceName(service, known)}
              <span className="under">{consequences(service, known)}</span>
            </li>
          ))}
        </ul>
      )}
      {idle.length > 0 && <p className="quiet-line">{t.whatIf.without(t.together(idle.map(name)))}</p>}
    </div>
  );
}

const lowerFirst = (words: string): string => words.charAt(0).toLocaleLowerCase() + words.slice(1);

function consequences(service: Fared, known: Known): string {
  const ways = service.alternatives.map((way) => lowerFirst(alternativeText(way)));
  return [
    service.must_stay_up ? t.mustStayUp : "",
    ways.length > 0 ? t.whatIf.by(ways.join(", ")) : "",
    service.minutes_lost === null || service.state === "down"
      ? ""
      : t.whatIf.lost(roughMinutes(service.minutes_lost, known.reader)),
    service.if_line_holds ? t.whatIf.ifLineHolds : "",
  ]
    .filter((part) => part !== "")
    .join(", ");
}
