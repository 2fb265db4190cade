import { render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { expect, test, vi } from "vitest";
import { keynotesOf } from "../../document/keynotes.ts";
import type { DesignOption, Figure, Finding, JobAnswer } from "../../engine/types.ts";
import { JobHeader } from "./JobHeader.tsx";
import { Keynotes } from "./Keynotes.tsx";
import { TitleBlock } from "./TitleBlock.tsx";

const reader = { locale: "en-GB", units: "metric" as const };

function figure(id: string, value: number | null, part: Partial<Figure> = {}): Figure {
  const unit = id === "price" ? "GBP" : id === "coverage" ? "%" : id === "headroom" ? "1" : "min/yr";
  return {
    id,
    subject: "d",
    value,
    unit,
    low: null,
    high: null,
    confidence: null,
    estimate: false,
    sources: [],
    ...part,
  };
}

function option(id: string, figures: Figure[]): DesignOption {
  return {
    id,
    family: "gateway",
    design: {
      id,
      name: `Design ${id}`,
      family: "gateway",
      parts: [],
      links: [],
      radios: [],
      segments: [],
      feeds: [],
    },
    figures: figures.map((f) => ({ ...f, subject: id })),
    findings: [],
    cautions: [],
    gap: null,
    beats: [],
    beaten_by: [],
  };
}

const job = {
  id: "j",
  name: "Cottage",
  revision: 7,
  archived: false,
  created_at: "2026-11-20T10:00:00Z",
  changed_at: "2026-11-25T10:00:00Z",
  country: "GB",
  units: "metric" as const,
  floor_area_m2: 90,
  storeys: 1,
  rooms: 5,
  people: 2,
  designs: 0,
};

const findings: Finding[] = [
  {
    rule: "coverage.room-below-target",
    severity: "fails",
    subjects: ["living"],
    message: "Living room: 89 % of its floor is covered",
    measured: { value: 89.2, unit: "%" },
    limit: { value: 95, unit: "%" },
    source: { kind: "common-practice", cite: "common practice, no source" },
    place: { storey: "ground", at: [1, 1] },
    remedies: [
      { text: "place an access point in the room" },
      { text: "lower it to 20 dBm", edits: [{ kind: "set", path: "designs/d/radios", value: [] }] },
    ],
  },
];

test("the title block says value, interval, change, and what is missing", () => {
  const shown = option("b", [
    figure("coverage", 99.1, { low: 98, high: 99.6 }),
    figure("headroom", 1.4),
    figure("outage.minutes", 1590, { estimate: true }),
    figure("price", null, { missing: ["a price for the switch"] }),
  ]);
  const pinned = option("a", [
    figure("coverage", 95.3),
    figure("outage.minutes", 1255),
    figure("price", 500),
  ]);
  render(
    <TitleBlock
      job={job}
      sheet="Options"
      shown={shown}
      pinned={pinned}
      findings={findings}
      pinnedFindings={[]}
      staleNote={null}
      scale={null}
      reader={reader}
    />,
  );
  const block = screen.getByRole("region", { name: "Title block" });
  const said = (block.textContent ?? "").replaceAll("\u00a0", " ");
  expect(said).toContain("99.1 %98.0 to 99.6 %+3.8 points better");
  expect(said).toContain("1,600 minestimate+340 min worse");
  expect(said).toContain("unknownneeds a price for the switch");
  expect(said).toContain("Changes against the pinned option, Design a");
  expect(said).toContain("1 failspinned option has no findings");
});

test("a keynote tells measure, limit, source; a remedy with edits is a button, another is text", async () => {
  const onApply = vi.fn();
  const onSelect = vi.fn();
  render(
    <Keynotes
      keynotes={keynotesOf(findings, null, null)}
      elsewhere={2}
      isPlanned
      selected={null}
      reader={reader}
      onSelect={onSelect}
      onApply={onApply}
    />,
  );
  const note = screen.getByText(/89 % of its floor/).closest("li") as HTMLElement;
  expect(note.textContent).toContain("Fails");
  expect(note.textContent).toContain("common practice, no source");
  expect(within(note).getByText("Place an access point in the room")).toBeDefined();
  expect(within(note).queryByRole("button", { name: /Place an access point/ })).toBeNull();
  await userEvent.click(within(note).getByRole("button", { name: "Lower it to 20 dBm" }));
  expect(onApply).toHaveBeenCalledWith(findings[0]?.remedies?.[1]);
  await userEvent.click(within(note).getByRole("button", { name: "Show keynote 1 on the plan" }));
  expect(onSelect).toHaveBeenCalledOnce();
  expect(screen.getByText("2 keynotes of this design on the options sheet")).toBeDefined();
});

function header(unsent: { key: number; label: string; edits: [] }[] = []) {
  const edits = {
    edit: vi.fn(),
    undo: vi.fn(),
    redo: vi.fn(),
    again: vi.fn(),
    dismiss: vi.fn(),
    flush: vi.fn(),
  };
  const answer = {
    job,
    document: { format: "wallplate/1", name: "Cottage", site: {}, building: {} },
    problems: [],
    can_undo: true,
    can_redo: false,
    undo_label: "Rename room",
    redo_label: null,
  } as unknown as JobAnswer;
  render(
    <JobHeader
      answer={answer}
      design={null}
      edits={edits}
      outbox={{ unsent, saved: [], isSending: false, refusal: null, revision: 7 }}
      onHistory={() => {}}
      onMore={() => {}}
    />,
  );
  return edits;
}

test("the job is renamed in place, and Escape leaves it as it was", async () => {
  const edits = header();
  await userEvent.click(screen.getByRole("button", { name: /Rename the job/ }));
  await userEvent.clear(screen.getByRole("textbox", { name: "Job name" }));
  await userEvent.type(screen.getByRole("textbox", { name: "Job name" }), "  Barn  {Enter}");
  expect(edits.edit).toHaveBeenCalledWith("Rename the job", [{ kind: "set", path: "name", value: "Barn" }]);
  await userEvent.click(screen.getByRole("button", { name: /Rename the job/ }));
  await userEvent.type(screen.getByRole("textbox", { name: "Job name" }), "x{Escape}");
  expect(edits.edit).toHaveBeenCalledOnce();
});

test("undo and redo follow the server, and wait while edits are unsent", () => {
  header();
  const undo = screen.getByRole<HTMLButtonElement>("button", { name: "Undo" });
  expect(undo.disabled).toBe(false);
  expect(undo.title).toBe("Undo “Rename room”");
  expect(screen.getByRole<HTMLButtonElement>("button", { name: "Redo" }).disabled).toBe(true);
});

test("unsent changes are counted and nothing can be undone meanwhile", () => {
  header([
    { key: 1, label: "a", edits: [] },
    { key: 2, label: "b", edits: [] },
  ]);
  expect(screen.getByRole("button", { name: /2 changes not sent/ })).toBeDefined();
  expect(screen.getByRole<HTMLButtonElement>("button", { name: "Undo" }).disabled).toBe(true);
});
