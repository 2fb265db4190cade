/** Light, dark, or as the system wishes. */

import { type Theme, useSettings } from "../../store/settings.ts";
import { text } from "../../text.ts";
import { Choice } from "../../ui/Choice.tsx";

export function ThemeChoice({ isLabelShown }: { isLabelShown?: boolean }) {
  const { theme, setTheme } = useSettings();
  return (
    <Choice<Theme>
      label={text.job.theme}
      isLabelShown={isLabelShown ?? false}
      options={[
        { value: "system", label: text.job.themes.system },
        { value: "light", label: text.job.themes.light },
        { value: "dark", label: text.job.themes.dark },
      ]}
      value={theme}
      onChange={setTheme}
    />
  );
}
