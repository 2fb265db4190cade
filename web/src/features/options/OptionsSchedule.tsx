/** The options side by side: one row a design, figures right-aligned with their intervals. */

import { changeFrom, countBySeverity, figureOf, headlines, severities } from "../../document/figures.ts";
import type { Reader } from "../../document/format.ts";
import type { DesignOption } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { ChangeText, FigureInterval, FigureValue } from "../../ui/FigureText.tsx";
import { SeverityMark } from "../../ui/SeverityMark.tsx";
import { useMedia } from "../../ui/useMedia.ts";

const t = text.options;

export interface OptionsProps {
  options: DesignOption[];
  best: string | null;
  shown: string | null;
  pinned: DesignOption | null;
  kept: readonly string[];
  reader: Reader;
  onShow(option: DesignOption): void;
  onPin(option: DesignOption | null): void;
  onKeep(option: DesignOption): void;
  onRemove(option: DesignOption): void;
}

const extra = "labour.hours";

export function OptionsSchedule(props: OptionsProps) {
  const isNarrow = useMedia("(max-width: 760px)");
  return isNarrow ? <Cards {...props} /> : <Table {...props} />;
}

function Table(props: OptionsProps) {
  const { options, shown, reader, pinned, best, kept } = props;
  return (
    <table className="schedule options-table">
      <caption className="spoken">{t.caption}</caption>
      <thead>
        <tr>
          <th scope="col">{t.design}</th>
          {headlines.map(({ id }) => (
            <th key={id} scope="col" className="right" title={text.figure.meanings[id]}>
              {text.figure.names[id]}
            </th>
          ))}
          <th scope="col" className="right work-column">
            {text.figure.names[extra]}
          </th>
          <th scope="col">{t.findings}</th>
          <th scope="col">
            <span className="spoken">{text.jobs.actions}</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {options.map((option) => (
          <tr key={option.id} className={option.id === shown ? "selected" : undefined}>
            <th scope="row">
              <DesignName option={option} isShown={option.id === shown} onShow={() => props.onShow(option)} />
              <Tags option={option} best={best} kept={kept} pinned={pinned} />
            </th>
            {headlines.map(({ id, better }) => {
              const figure = figureOf(option, id);
              return (
                <td key={id} className="right">
                  <FigureValue figure={figure} reader={reader} />
                  <FigureInterval figure={figure} reader={reader} />
                  {pinned && pinned.id !== option.id && (
                    <ChangeText change={changeFrom(figureOf(pinned, id), figure, better)} reader={reader} />
                  )}
                </td>
              );
            })}
            <td className="right work-column">
              <FigureValue figure={figureOf(option, extra)} reader={reader} />
              <FigureInterval figure={figureOf(option, extra)} reader={reader} />
            </td>
            <td>
              <FindingCounts option={option} />
            </td>
            <td>
              <Actions {...props} option={option} />
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Cards(props: OptionsProps) {
  const { options, shown, reader, pinned, best, kept } = props;
  return (
    <ul className="option-cards" aria-label={t.schedule}>
      {options.map((option) => (
        <li key={option.id} className={option.id === shown ? "option-card selected" : "option-card"}>
          <DesignName option={option} isShown={option.id === shown} onShow={() => props.onShow(option)} />
          <Tags option={option} best={best} kept={kept} pinned={pinned} />
          <dl className="option-figures">
            {headlines.map(({ id, better }) => {
              const figure = figureOf(option, id);
              return (
                <div key={id}>
                  <dt>{text.figure.names[id]}</dt>
                  <dd>
                    <FigureValue figure={figure} reader={reader} />
                    <FigureInterval figure={figure} reader={reader} />
                    {pinned && pinned.id !== option.id && (
                      <ChangeText change={changeFrom(figureOf(pinned, id), figure, better)} reader={reader} />
                    )}
                  </dd>
                </div>
              );
            })}
          </dl>
          <div className="option-foot">
            <FindingCounts option={option} />
            <Actions {...props} option={option} />
          </div>
        </li>
      ))}
    </ul>
  );
}

interface NameProps {
  option: DesignOption;
  isShown: boolean;
  onShow(): void;
}

function DesignName({ option, isShown, onShow }: NameProps) {
  return (
    <button
      type="button"
      className="row-choice"
      aria-pressed={isShown}
      aria-label={t.showOf(option.design.name)}
      onClick={onShow}
    >
      {option.design.name}
    </button>
  );
}

type TagsProps = Pick<OptionsProps, "best" | "kept" | "pinned"> & { option: DesignOption };

function Tags({ option, best, kept, pinned }: TagsProps) {
  const tags = [
    t.families[option.family] ?? option.family,
    ...(option.id === best ? [t.best] : []),
    ...(kept.includes(option.id) ? [t.kept] : []),
    ...(option.id === pinned?.id ? [t.pinned] : []),
  ];
  return <span className="under">{tags.join(", ")}</span>;
}

function FindingCounts({ option }: { option: DesignOption }) {
  const counts = countBySeverity(option.findings);
  const present = severities.filter((severity) => counts[severity] > 0);
  if (present.length === 0) return text.none;
  return (
    <ul className="finding-counts">
      {present.map((severity) => (
        <li key={severity}>
          <SeverityMark severity={severity} />
          {text.severityCount[severity](counts[severity])}
        </li>
      ))}
    </ul>
  );
}

function Actions({ option, pinned, kept, onPin, onKeep, onRemove }: OptionsProps & { option: DesignOption }) {
  const { name } = option.design;
  const isPinned = pinned?.id === option.id;
  const isKept = kept.includes(option.id);
  return (
    <span className="row-actions">
      <button
        type="button"
        className="button"
        aria-pressed={isPinned}
        aria-label={t.pinOf(name)}
        onClick={() => onPin(isPinned ? null : option)}
      >
        {t.pin}
      </button>
      <button
        type="button"
        className="button quiet"
        aria-label={isKept ? `${t.remove}, ${name}` : t.keepOf(name)}
        onClick={() => (isKept ? onRemove(option) : onKeep(option))}
      >
        {isKept ? t.remove : t.keepShort}
      </button>
    </span>
  );
}
