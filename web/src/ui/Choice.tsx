/** One of a few, side by side: radio buttons drawn as a bar. Arrow keys move, as in any radio group. */

import { useId } from "react";
import { useMedia } from "./useMedia.ts";

interface Option<Value extends string> {
  value: Value;
  label: string;
  /** Said instead of a label that is too short to stand alone. */
  name?: string;
  /** Shown in the drop-down list, where the options do not explain each other. */
  fold?: string;
}

interface Props<Value extends string> {
  label: string;
  /** Shows the label beside the bar; else it is only spoken. */
  isLabelShown?: boolean;
  /** Becomes a drop-down list where there is no room for a bar. */
  canFold?: boolean;
  options: readonly Option<Value>[];
  value: Value;
  onChange(value: Value): void;
}

export function Choice<Value extends string>(props: Props<Value>) {
  const { label, isLabelShown, canFold, options, value, onChange } = props;
  const group = useId();
  const isNarrow = useMedia("(max-width: 640px)");
  if (canFold && isNarrow) {
    return (
      <select
        className="input"
        aria-label={label}
        value={value}
        onChange={(event) => onChange(event.target.value as Value)}
      >
        {options.map((option) => (
          <option key={option.value} value={option.value}>
            {option.fold ?? option.label}
          </option>
        ))}
      </select>
    );
  }
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
