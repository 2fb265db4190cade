/** Rates and terms of the quote as a form. Saving it makes one change to the job, which is undone like any other. */

import { useId, useState } from "react";
import {
  changedTerms,
  draftOf,
  problemsOf,
  type TermName,
  type TermsDraft,
  termsEdits,
} from "../../document/terms.ts";
import type { Access, Edit, Terms } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { Field } from "../../ui/Field.tsx";

const t = text.cost.terms;

interface Props {
  terms: Terms;
  currency: string;
  /** Whether the document states terms of its own. */
  hasTerms: boolean;
  onEdit(label: string, edits: Edit[]): void;
}

export function TermsForm({ terms, currency, hasTerms, onEdit }: Props) {
  const given = JSON.stringify(terms);
  // What was typed, on the terms that it was typed over; other terms from the server begin anew.
  const [typed, setTyped] = useState({ given, saved: draftOf(terms), draft: draftOf(terms), isTried: false });
  const now =
    typed.given === given ? typed : { given, saved: draftOf(terms), draft: draftOf(terms), isTried: false };
  const { draft, saved } = now;
  const set = (part: Partial<TermsDraft>) => setTyped({ ...now, draft: { ...draft, ...part } });
  const changed = changedTerms(saved, draft);
  const problems = problemsOf(draft, t.problems);
  const shown = now.isTried
    ? problems
    : problems.filter(({ path }) => changed.includes(path.split("/")[0] as TermName));
  const at = (path: string) => shown.filter((problem) => problem.path === path);
  const save = () => {
    if (problems.length > 0 || changed.length === 0) return setTyped({ ...now, isTried: true });
    onEdit(t.saved(changed.map((name) => t.short[name])), termsEdits(changed, draft, currency, hasTerms));
    setTyped({ ...now, saved: draft, isTried: false });
  };
  const number = (name: Exclude<TermName, "taxes" | "access">, label: string, hint?: string) => (
    <Field label={label} problems={at(name)} {...(hint === undefined ? {} : { hint })}>
      {(wiring) => (
        <input
          {...wiring}
          type="text"
          inputMode="decimal"
          value={draft[name]}
          onChange={(event) => set({ [name]: event.target.value })}
        />
      )}
    </Field>
  );
  return (
    <form
      className="terms-form"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        save();
      }}
    >
      <p className="schedule-note">{t.intro}</p>
      <div className="terms-fields">
        {number("labour_rate", t.rate, t.rateHint(currency))}
        {number("overhead", t.overhead)}
        {number("margin", t.margin)}
        {number("minimum_charge", t.minimum, t.minimumHint(currency))}
        {number("valid_days", t.valid)}
        {number("crew", t.crew)}
        {number("day", t.day)}
        <Field label={t.access}>
          {(wiring) => (
            <select
              {...wiring}
              value={draft.access}
              onChange={(event) => set({ access: event.target.value as Access | "" })}
            >
              <option value="">{t.accessNone}</option>
              {(Object.keys(t.accesses) as Access[]).map((access) => (
                <option key={access} value={access}>
                  {t.accesses[access]}
                </option>
              ))}
            </select>
          )}
        </Field>
      </div>
      <Taxes taxes={draft.taxes} problemsAt={at} onChange={(taxes) => set({ taxes })} />
      <div className="terms-actions">
        <button type="submit" className="button main">
          {t.save}
        </button>
        <button
          type="button"
          className="button"
          disabled={changed.length === 0}
          onClick={() => setTyped({ ...now, draft: saved, isTried: false })}
        >
          {t.back}
        </button>
        <p className="quiet-line" role="status">
          {changed.length === 0 ? t.unchanged : t.unsaved(changed.length)}
        </p>
      </div>
    </form>
  );
}

interface TaxesProps {
  taxes: TermsDraft["taxes"];
  problemsAt(path: string): ReturnType<typeof problemsOf>;
  onChange(taxes: TermsDraft["taxes"]): void;
}

function Taxes({ taxes, problemsAt, onChange }: TaxesProps) {
  const heading = useId();
  const change = (place: number, part: Partial<TermsDraft["taxes"][number]>) =>
    onChange(taxes.map((tax, other) => (other === place ? { ...tax, ...part } : tax)));
  return (
    <fieldset className="terms-taxes" aria-labelledby={heading}>
      <legend id={heading}>{t.taxes}</legend>
      {taxes.map((tax, place) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: taxes have no ids, and are not put in another order
        <div key={place} className="terms-tax">
          <Field label={t.taxName} problems={problemsAt(`taxes/${place}/name`)}>
            {(wiring) => (
              <input
                {...wiring}
                type="text"
                maxLength={60}
                value={tax.name}
                onChange={(event) => change(place, { name: event.target.value })}
              />
            )}
          </Field>
          <Field label={t.taxRate} problems={problemsAt(`taxes/${place}/rate`)}>
            {(wiring) => (
              <input
                {...wiring}
                type="text"
                inputMode="decimal"
                value={tax.rate}
                onChange={(event) => change(place, { rate: event.target.value })}
              />
            )}
          </Field>
          <button
            type="button"
            className="button quiet"
            onClick={() => onChange(taxes.filter((_, other) => other !== place))}
          >
            {t.removeTax(tax.name)}
          </button>
        </div>
      ))}
      <button type="button" className="button" onClick={() => onChange([...taxes, { name: "", rate: "" }])}>
        {t.addTax}
      </button>
    </fieldset>
  );
}
