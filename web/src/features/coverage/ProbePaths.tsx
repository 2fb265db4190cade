/** The paths that a level is made of, one by one: each is pointed out on the plan while it is pointed at or has the focus. */

import { Fragment, useState } from "react";
import { length, number, quantity, type Reader, together } from "../../document/format.ts";
import type { House, Probe } from "../../engine/types.ts";
import { PathGlyph } from "../../plan/PathGlyph.tsx";
import { metBy, pathName } from "../../plan/paths.ts";
import { text } from "../../text.ts";

const t = text.coverage;

interface Props {
  probe: Probe;
  house: House;
  reader: Reader;
  /** The path that is pointed out. */
  path: number | null;
  onPath(path: number | null): void;
}

export function ProbePaths({ probe, house, reader, path: shown, onPath }: Props) {
  const [opened, setOpened] = useState<number | null>(null);
  const decibels = (amount: number) => together(quantity(amount, "dB", reader));
  const { paths, others } = probe;
  return (
    <>
      <table className="schedule paths">
        <caption>{t.paths}</caption>
        <thead>
          <tr>
            <th scope="col">{t.path}</th>
            <th scope="col" className="right">
              {t.pathLevel}
            </th>
            <th scope="col" className="right">
              {t.pathLength}
            </th>
            <th scope="col" className="right">
              {t.pathDelay}
            </th>
          </tr>
        </thead>
        <tbody>
          {paths.map((path, index) => {
            const isOpened = opened === index;
            const met = isOpened ? metBy(path, house) : [];
            return (
              // biome-ignore lint/suspicious/noArrayIndexKey: paths have their order and no other identity
              <Fragment key={index}>
                <tr
                  className={index === shown ? "selected" : undefined}
                  onPointerEnter={() => onPath(index)}
                  onPointerLeave={() => onPath(opened)}
                >
                  <th scope="row">
                    <button
                      type="button"
                      className="row-choice"
                      aria-expanded={isOpened}
                      onFocus={() => onPath(index)}
                      onBlur={() => onPath(opened)}
                      onClick={() => {
                        setOpened(isOpened ? null : index);
                        onPath(index);
                      }}
                    >
                      {pathName(path, house)}
                    </button>
                  </th>
                  <td className="right figure-cell">{number(path.level_dbm, reader, 1)}</td>
                  <td className="right figure-cell">{length(path.length_m, reader, 1)}</td>
                  <td className="right figure-cell">{number(path.delay_ns, reader, 1)}</td>
                </tr>
                {isOpened && (
                  <tr className="path-met">
                    <td colSpan={4}>
                      {met.length === 0 ? (
                        t.metNothing
                      ) : (
                        <ol className="plain-list">
                          {met.map(({ kind, what, made, angle_deg, loss_db }, place) => (
                            // biome-ignore lint/suspicious/noArrayIndexKey: the order on the way is their identity
                            <li key={place}>
                              <PathGlyph kind={kind} />
                              <span>
                                {t.met[kind](what)}
                                {made !== what && <span className="under">{made}</span>}
                                <span className="under">{t.metAngle[kind](number(angle_deg, reader))}</span>
                              </span>
                              <span className="figure">{decibels(-loss_db)}</span>
                            </li>
                          ))}
                        </ol>
                      )}
                    </td>
                  </tr>
                )}
              </Fragment>
            );
          })}
        </tbody>
      </table>
      {others && (
        <p className="schedule-note">
          {t.otherPaths(others.count, together(quantity(others.level_dbm, "dBm", reader)))}
        </p>
      )}
      <ul className="plain-list path-key">
        {(["crossing", "reflection", "diffraction"] as const).map((kind) => (
          <li key={kind}>
            <PathGlyph kind={kind} />
            {t.glyphs[kind]}
          </li>
        ))}
      </ul>
    </>
  );
}
