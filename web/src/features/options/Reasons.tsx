/** Why: what the shown design beats and what beats it, what its work needs care with, what was left out and assumed. */

import { asShown, betterOf, changeFrom, figureOf } from "../../document/figures.ts";
import { quantity, type Reader, together } from "../../document/format.ts";
import type { Comparison, DesignOption, Figure, Plan } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { ChangeText, FigureInterval, FigureValue } from "../../ui/FigureText.tsx";
import { Prose } from "../../ui/Prose.tsx";

const t = text.options;

interface Props {
  plan: Plan;
  shown: DesignOption | null;
  /** The shown design is one that the job keeps: the planner has compared it with nothing. */
  isKept: boolean;
  pinned: DesignOption | null;
  reader: Reader;
  onShow(id: string): void;
}

export function Reasons({ plan, shown, isKept, pinned, reader, onShow }: Props) {
  const nameOf = (id: string) => plan.options.find((option) => option.id === id)?.design.name ?? id;
  return (
    <div className="reasons">
      {shown && (
        <section aria-labelledby="reasons-compare" className="reasons-wide">
          <h3 id="reasons-compare">{t.compare(shown.design.name)}</h3>
          {shown.gap && (
            <p>
              {t.gap(
                nameOfFigure(shown.gap.figure),
                together(quantity(shown.gap.found, unitOf(shown, shown.gap.figure), reader)),
                together(quantity(shown.gap.bound, unitOf(shown, shown.gap.figure), reader)),
              )}
              <span className="under">{t.gapMethod(shown.gap.method)}</span>
            </p>
          )}
          {isKept ? (
            <p>{t.keptNotCompared}</p>
          ) : (
            <div className="comparisons">
              <Comparisons
                title={t.beats}
                none={t.beatsNone}
                list={shown.beats}
                nameOf={nameOf}
                reader={reader}
                onShow={onShow}
              />
              <Comparisons
                title={t.beatenBy}
                none={t.beatenByNone}
                list={shown.beaten_by}
                nameOf={nameOf}
                reader={reader}
                onShow={onShow}
              />
            </div>
          )}
        </section>
      )}
      {shown && shown.cautions.length > 0 && (
        <section aria-labelledby="reasons-cautions" className="reasons-wide">
          <h3 id="reasons-cautions">{t.cautions}</h3>
          <p className="quiet-line">{t.cautionsFirst}</p>
          <dl className="lines stacked cautions">
            {shown.cautions.map((caution) => (
              <div key={caution.work}>
                <dt>{caution.work}</dt>
                <dd>{caution.text}</dd>
              </div>
            ))}
          </dl>
        </section>
      )}
      <section aria-labelledby="reasons-excluded">
        <h3 id="reasons-excluded">{t.excluded}</h3>
        {plan.excluded.length === 0 ? (
          <p className="quiet-line">{t.excludedNone}</p>
        ) : (
          <dl className="lines stacked">
            {plan.excluded.map((left) => (
              <div key={left.family + left.reason}>
                <dt>{t.families[left.family] ?? left.family}</dt>
                <dd>
                  <Prose text={left.reason} />
                </dd>
              </div>
            ))}
          </dl>
        )}
      </section>
      <section aria-labelledby="reasons-assumptions">
        <h3 id="reasons-assumptions">{t.assumptions}</h3>
        {plan.assumptions.length === 0 ? (
          <p className="quiet-line">{t.assumptionsNone}</p>
        ) : (
          <ul className="plain-list">
            {plan.assumptions.map((assumption) => (
              <li key={assumption}>
                <Prose text={assumption} />
              </li>
            ))}
          </ul>
        )}
      </section>
      {shown && (
        <details className="reasons-wide all-figures">
          <summary>{t.allFigures}</summary>
          <AllFigures shown={shown} pinned={pinned} reader={reader} />
        </details>
      )}
    </div>
  );
}

function unitOf(option: DesignOption, figure: string): string {
  // A search may be for a figure that is not among those of the design, such as coverage by one radio alone.
  return figureOf(option, figure)?.unit ?? (figure.startsWith("coverage") ? "%" : "1");
}

interface ComparisonsProps {
  title: string;
  none: string;
  list: Comparison[];
  nameOf(id: string): string;
  reader: Reader;
  onShow(id: string): void;
}

function Comparisons({ title, none, list, nameOf, reader, onShow }: ComparisonsProps) {
  return (
    <div>
      <h4>{title}</h4>
      {list.length === 0 ? (
        <p className="quiet-line">{none}</p>
      ) : (
        <ul>
          {list.map((comparison) => (
            <li key={comparison.option} className="comparison">
              <button type="button" className="row-choice" onClick={() => onShow(comparison.option)}>
                {nameOf(comparison.option)}
              </button>
              <ul>
                {comparison.figures.map((difference) => (
                  <li key={difference.figure}>
                    <span className="quiet">{nameOfFigure(difference.figure)}</span>{" "}
                    <span className="figure">
                      {t.against(
                        together(quantity(difference.this, difference.unit, reader)),
                        together(quantity(difference.other, difference.unit, reader)),
                      )}
                    </span>
                  </li>
                ))}
              </ul>
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}

/** A figure's name; one that has none is shown by its id. */
export function nameOfFigure(id: string): string {
  return text.figure.names[id] ?? id;
}

function AllFigures({
  shown,
  pinned,
  reader,
}: {
  shown: DesignOption;
  pinned: DesignOption | null;
  reader: Reader;
}) {
  const counterpart = (figure: Figure) =>
    pinned && pinned.id !== shown.id
      ? (pinned.figures
          .map(asShown)
          .find(
            (f) =>
              f.id === figure.id &&
              (f.subject === figure.subject || (f.subject === pinned.id && figure.subject === shown.id)),
          ) ?? null)
      : null;
  return (
    <table className="schedule">
      <thead>
        <tr>
          <th scope="col">{t.figure}</th>
          <th scope="col">{t.subject}</th>
          <th scope="col" className="right">
            {t.value}
          </th>
          {pinned && (
            <th scope="col" className="right">
              {t.change}
            </th>
          )}
          <th scope="col" className="wide-only">
            {t.source}
          </th>
        </tr>
      </thead>
      <tbody>
        {shown.figures.map(asShown).map((figure) => (
          <tr key={`${figure.id} ${figure.subject}`}>
            <th scope="row">{nameOfFigure(figure.id)}</th>
            <td>{figure.subject === shown.id ? t.wholeDesign : figure.subject}</td>
            <td className="right">
              <FigureValue figure={figure} reader={reader} />
              <FigureInterval figure={figure} reader={reader} />
            </td>
            {pinned && (
              <td className="right">
                <ChangeText
                  change={changeFrom(counterpart(figure), figure, betterOf(figure.id))}
                  reader={reader}
                />
              </td>
            )}
            <td className="wide-only">
              {figure.sources.map((source) => (
                <span key={source.cite} className="under">
                  {source.cite}
                </span>
              ))}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
