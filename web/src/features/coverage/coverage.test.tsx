import { render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { expect, test, vi } from "vitest";
import type { House, Probe } from "../../engine/types.ts";
import { house, probe } from "../../plan/fixture.ts";
import { ProbePaths } from "./ProbePaths.tsx";

const reader = { locale: "en-GB", units: "metric" as const };

function paths(onPath: (path: number | null) => void, path: number | null = null) {
  return (
    <ProbePaths
      probe={probe as unknown as Probe}
      house={house as unknown as House}
      reader={reader}
      path={path}
      onPath={onPath}
    />
  );
}

test("each path tells level, length and delay, and is pointed out by pointer and by keys", async () => {
  const onPath = vi.fn();
  const user = userEvent.setup();
  const { rerender } = render(paths(onPath));
  const table = screen.getByRole("table", { name: "Paths, the strongest first" });
  const rows = within(table).getAllByRole("row").slice(1);
  expect(rows.map((row) => row.textContent)).toEqual([
    "direct, 1 crossing\u221263.74.3\u00a0m14.4",
    "reflected by the party wall of Study, 1 crossing\u221268.17.1\u00a0m23.7",
    "round an edge of the opening of Living room, reflected by the floor\u221279.55.6\u00a0m18.7",
  ]);
  await user.hover(rows[1] as HTMLElement);
  expect(onPath).toHaveBeenLastCalledWith(1);
  await user.unhover(rows[1] as HTMLElement);
  expect(onPath).toHaveBeenLastCalledWith(null);
  await user.tab();
  expect(onPath).toHaveBeenLastCalledWith(0);
  await user.tab();
  await user.tab();
  expect(onPath).toHaveBeenLastCalledWith(2);
  rerender(paths(onPath, 2));
  expect(rows[2]?.className).toBe("selected");
  // What is beyond the list is said as well.
  expect(screen.getByText("4 weaker paths bring \u221281.2 dBm")).toBeTruthy();
});

test("an opened path tells what it meets in order, with what each costs, and stays pointed out", async () => {
  const onPath = vi.fn();
  const user = userEvent.setup();
  render(paths(onPath));
  const button = screen.getByRole("button", { name: /^reflected by the party wall/ });
  await user.click(button);
  expect(button.getAttribute("aria-expanded")).toBe("true");
  const met = within(screen.getByRole("table")).getAllByRole("listitem");
  expect(met.map((item) => item.textContent)).toEqual([
    "through the wall of Living roomMade-up assembly66° from square\u22125.9\u00a0dB",
    "reflected by the party wall of StudyMade-up assembly24° from square\u22126.2\u00a0dB",
  ]);
  await user.tab();
  await user.tab();
  expect(onPath).toHaveBeenLastCalledWith(1);
  await user.click(button);
  expect(button.getAttribute("aria-expanded")).toBe("false");
});
