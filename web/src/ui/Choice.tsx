/** One of a few, side by side: radio buttons in the dress of a segmented bar. Arrow keys move, as in any radio group. */

import { useId } from "react";

interface Option<Value extends string> {
  value: Value;
  label: string;
  /** Said instead of a label that is too short to stand alone. */
  name?: string;
}

interface Props<Value extends string> {
  label: string;
  /** Shows the label beside the bar; else it is only spoken. */
  isLabelShown?: boolean;
  options: readonly Option<Value>[];
  value: Value;
  onChange(value: Value): void;
}

export function Choice<Value extends string>({
  label,
  isLabelShown,
  options,
  value,
  onChange,
}: Props<Value>) {
  const group = useId();
  return (
    <fieldset className="choice">
      <legend className={isLabelShown ? "choice-label" : "spoken"}>{label}</legend>
      <div className="choice-bar">
        {options.map((option) => (
          <label key={option.value} className="choice-option">
            <input
              type="radio"
              name={group}
              value={option.value}
              checked={option.value === value}
              aria-label={option.name ?? option.label}
              onChange={() => onChange(option.value)}
            />
            <span aria-hidden={option.name ? true : undefined}>{option.label}</span>
          </label>
        ))}
      </div>
    </fieldset>
  );
}
