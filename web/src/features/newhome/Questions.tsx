/** The eight questions, numbered, each with its answers. */

import type { ReactNode } from "react";
import { type Answers, problemsAt, unitsOf, withCountry } from "../../document/newHome.ts";
import type { Attached, Construction, FieldProblem, LineKind } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { Choice } from "../../ui/Choice.tsx";
import { Field, ProblemList } from "../../ui/Field.tsx";

const t = text.newHome;

/** The paths of the request that have a place on the page. */
export const answerPaths: readonly string[] = [
  "name",
  "country",
  "floor_area_m2",
  "storeys",
  "basement",
  "attic",
  "construction",
  "attached",
  "rooms",
  "rooms/bedrooms",
  "rooms/bathrooms",
  "rooms/offices",
  "rooms/utility",
  "rooms/open_kitchen",
  "people",
  "may_drill",
  "line",
  "line/kind",
  "line/down_bps",
  "line/up_bps",
];

interface Props {
  answers: Answers;
  countries: { code: string; name: string }[];
  problems: readonly FieldProblem[];
  onChange(answers: Answers): void;
}

/** Those of the answers that are typed. */
type Typed = { [Key in keyof Answers]: Answers[Key] extends string ? Key : never }[keyof Answers];

function optionsOf<Value extends string>(labels: Record<Value, string>) {
  return (Object.entries(labels) as [Value, string][]).map(([value, label]) => ({ value, label }));
}

export function Questions({ answers, countries, problems, onChange }: Props) {
  const set = (part: Partial<Answers>) => onChange({ ...answers, ...part });
  const at = (path: string) => problemsAt(problems, path);
  const count = (key: Typed, path: string, label: string, least = 0) => (
    <Field label={label} problems={at(path)}>
      {(wiring) => (
        <input
          {...wiring}
          type="number"
          inputMode="decimal"
          min={least}
          step="any"
          value={answers[key]}
          onChange={(event) => set({ [key]: event.target.value })}
        />
      )}
    </Field>
  );
  const tick = (key: "hasBasement" | "hasAttic" | "hasUtility" | "isKitchenOpen", label: string) => (
    <label className="tick">
      <input
        type="checkbox"
        checked={answers[key]}
        onChange={(event) => set({ [key]: event.target.checked })}
      />
      {label}
    </label>
  );
  const isListed = countries.some((country) => country.code === answers.country);
  return (
    <>
      <div className="newhome-name">
        <Field label={t.name} problems={at("name")}>
          {(wiring) => (
            <input
              {...wiring}
              type="text"
              value={answers.name}
              onChange={(e) => set({ name: e.target.value })}
            />
          )}
        </Field>
      </div>
      <ol className="questions">
        <Question title={t.questions.country}>
          <Field label={t.countryLabel} problems={at("country")}>
            {(wiring) => (
              <select
                {...wiring}
                value={answers.country}
                onChange={(event) => onChange(withCountry(answers, event.target.value))}
              >
                {!isListed && <option value={answers.country}>{answers.country}</option>}
                {countries.map((country) => (
                  <option key={country.code} value={country.code}>
                    {country.name}
                  </option>
                ))}
              </select>
            )}
          </Field>
        </Question>
        <Question title={t.questions.size}>
          {count("area", "floor_area_m2", t.area(unitsOf(answers.country) === "metric" ? "m²" : "sq ft"))}
          {count("storeys", "storeys", t.storeys, 1)}
          <div className="ticks">
            {tick("hasBasement", t.basement)}
            {tick("hasAttic", t.attic)}
          </div>
          <ProblemList problems={[...at("basement"), ...at("attic")]} />
        </Question>
        <Question title={t.questions.shape} problems={at("attached")}>
          <Choice<Attached>
            label={t.attachedLabel}
            options={optionsOf(t.attached)}
            value={answers.attached}
            onChange={(attached) => set({ attached })}
          />
        </Question>
        <Question title={t.questions.construction} problems={at("construction")}>
          <Choice<Construction>
            label={t.constructionLabel}
            options={optionsOf(t.construction)}
            value={answers.construction}
            onChange={(construction) => set({ construction })}
          />
        </Question>
        <Question title={t.questions.rooms} problems={at("rooms")}>
          {count("bedrooms", "rooms/bedrooms", t.bedrooms)}
          {count("bathrooms", "rooms/bathrooms", t.bathrooms)}
          {count("offices", "rooms/offices", t.offices)}
          <div className="ticks">
            {tick("hasUtility", t.utility)}
            {tick("isKitchenOpen", t.openKitchen)}
          </div>
          <ProblemList problems={[...at("rooms/utility"), ...at("rooms/open_kitchen")]} />
        </Question>
        <Question title={t.questions.people}>{count("people", "people", t.people, 1)}</Question>
        <Question title={t.questions.drill} problems={at("may_drill")}>
          <Choice
            label={t.drill}
            options={[
              { value: "yes", label: t.drillYes },
              { value: "no", label: t.drillNo },
            ]}
            value={answers.mayDrill ? "yes" : "no"}
            onChange={(value) => set({ mayDrill: value === "yes" })}
          />
        </Question>
        <Question title={t.questions.line} problems={[...at("line"), ...at("line/kind")]}>
          <Choice<LineKind>
            label={t.lineKind}
            options={optionsOf(t.line)}
            value={answers.lineKind}
            onChange={(lineKind) => set({ lineKind })}
          />
          {count("down", "line/down_bps", t.down)}
          {count("up", "line/up_bps", t.up)}
        </Question>
      </ol>
    </>
  );
}

interface QuestionProps {
  title: string;
  problems?: readonly FieldProblem[];
  children: ReactNode;
}

function Question({ title, problems = [], children }: QuestionProps) {
  return (
    <li className="question">
      <h2>{title}</h2>
      <div className="question-answers">{children}</div>
      <ProblemList problems={problems} />
    </li>
  );
}
