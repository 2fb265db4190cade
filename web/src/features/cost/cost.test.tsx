import { render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, expect, test, vi } from "vitest";
import { type CostPart, costParts } from "../../document/address.ts";
import type { Arrangement } from "../../document/listing.ts";
import type { CostAnswer, DesignOption } from "../../engine/types.ts";
import { CostPanel } from "./CostPanel.tsx";
import { CostSchedules } from "./CostSchedules.tsx";
import { answer, design, offer, unpriced } from "./fixture.ts";

const reader = { locale: "en-GB", units: "metric" as const };

const saved = vi.hoisted(() => [] as { name: string; content: string }[]);
vi.mock("../../ui/download.ts", () => ({
  download: (name: string, content: string) => saved.push({ name, content }),
}));
afterEach(() => {
  saved.length = 0;
});

const options = [
  {
    id: "o1",
    design: { name: "As it is" },
    findings: [{ rule: "coverage.below-target", message: "The study is below target" }],
  },
  { id: "o2", design: { name: "Ceiling" }, findings: [] },
] as unknown as DesignOption[];

interface Shown {
  of?: CostAnswer;
  look?: Arrangement;
  hasTerms?: boolean;
}

function schedules(
  part: CostPart,
  { of = answer, look = { sort: null, find: "" }, hasTerms = true }: Shown = {},
) {
  const on = { onPart: vi.fn(), onLook: vi.fn(), onSelect: vi.fn(), onShow: vi.fn(), onEdit: vi.fn() };
  render(
    <CostSchedules
      answer={of}
      offer={{ answer: offer, error: null, again: vi.fn() }}
      options={options}
      job="Made-up home"
      currency="EUR"
      hasTerms={hasTerms}
      design={design}
      shown="o1"
      part={part}
      look={look}
      selected={null}
      reader={reader}
      {...on}
    />,
  );
  return on;
}

const plain = (text: string | null | undefined) => (text ?? "").replaceAll("\u00a0", " ");

function rowsOf(name: string): string[][] {
  const rows = within(screen.getByRole("table", { name })).getAllByRole("row").slice(1);
  return rows.map((row) => [...row.querySelectorAll("th, td")].map((cell) => plain(cell.textContent)));
}

test("the price adds up line by line to the cent, with its interval and the day until which it holds", () => {
  render(<CostPanel answer={answer} staleNote={null} reader={reader} />);
  expect(rowsOf("How the price is made up")).toEqual([
    ["Parts and cable", "€258.95"],
    ["Labour4 h at €62.50 an hour", "€250.00"],
    ["Overhead10 % of parts and labour", "€50.90"],
    ["Margin20 % of the price without tax", "€139.96"],
    ["Price without tax", "€699.81"],
    ["VAT", "€132.96"],
    ["Total€640.10 to €1,101.50", "€832.77"],
  ]);
  expect(screen.getByText("29 Dec 2026")).toBeDefined();
  expect(plain(screen.getByText("Work").parentElement?.textContent)).toBe(
    "Work4.0 h3.1 h to 5.6 h2 people, 1 day on site",
  );
});

test("a price that is missing is unknown and names what it lacks; no sum is made up", async () => {
  render(<CostPanel answer={unpriced} staleNote={null} reader={reader} />);
  expect(screen.getByText("unknown")).toBeDefined();
  expect(screen.getByText("price of `ap-ax`")).toBeDefined();
  expect(screen.queryByText(/€0/)).toBeNull();
  schedules("take-off", { of: unpriced });
  const [first, , third] = rowsOf("Take-off schedule");
  expect(first).toEqual(["Access pointap-ax", "2", "pc", "missing", "missing"]);
  expect(third?.[4]).toBe("€0.00");
  expect(screen.getByText(/1 line has no price/)).toBeDefined();
  await userEvent.click(screen.getByRole("button", { name: "Export Take-off schedule as CSV" }));
  expect(saved[0]?.content.split("\r\n")[1]).toBe("Access point,ap-ax,2,pc,,,");
});

test("the take-off has quantities, units, unit prices and prices, and its parts are shown on the plan", async () => {
  const { onSelect } = schedules("take-off");
  expect(rowsOf("Take-off schedule")).toEqual([
    ["Access pointap-ax", "2", "pc", "€120.00", "€240.00"],
    ["Cable, Cat 6cable-cat6", "41.5", "m", "€0.4567", "€18.95"],
    ["Gateway (already there)gateway", "1", "pc", "€0.00", "€0.00"],
  ]);
  expect(screen.getByText(/All lines together come to €258.95/)).toBeDefined();
  await userEvent.click(screen.getByRole("button", { name: "Cable, Cat 6" }));
  expect(onSelect).toHaveBeenCalledWith({ kind: "goods", id: "cable-cat6" });
});

test("a schedule is sorted by its heads, searched, and exported as it is shown", async () => {
  const look = { sort: { column: "price", isDown: true }, find: "a" };
  const { onLook } = schedules("take-off", { look });
  expect(rowsOf("Take-off schedule").map(([name]) => name)).toEqual([
    "Access pointap-ax",
    "Cable, Cat 6cable-cat6",
    "Gateway (already there)gateway",
  ]);
  const table = screen.getByRole("table", { name: "Take-off schedule" });
  expect(within(table).getByRole("columnheader", { name: "Price" }).getAttribute("aria-sort")).toBe(
    "descending",
  );
  await userEvent.click(within(table).getByRole("button", { name: "Quantity" }));
  expect(onLook).toHaveBeenCalledWith({ sort: { column: "quantity", isDown: false }, find: "a" });
  await userEvent.type(screen.getByRole("searchbox", { name: "Search in Take-off schedule" }), "p");
  expect(onLook).toHaveBeenLastCalledWith({ ...look, find: "ap" });
  await userEvent.click(screen.getByRole("button", { name: "Export Take-off schedule as CSV" }));
  expect(saved[0]?.name).toBe("made-up-home-made-up-design-take-off.csv");
  expect(saved[0]?.content.split("\r\n")[0]).toBe("Part,Equipment,Quantity,Unit,Unit price,Price,Currency");
});

test("spools say what is cut from which and what is left; the least that could be bought is said", () => {
  schedules("spools");
  expect(rowsOf("Schedule of spools")).toEqual([
    ["Cable, Cat 6, spool 1", "switch to AP-1; l9", "100.0 m", "41.5 m", "58.5 m"],
    ["Cable, Cat 6, spool 2", "", "100.0 m", "0.0 m", "100.0 m"],
  ]);
  expect(screen.getAllByRole("img").map((bar) => plain(bar.getAttribute("aria-label")))).toEqual([
    "42 % cut, 58 % left",
    "0 % cut, 100 % left",
  ]);
  expect(screen.getByText(/No choice of spools has less cable/)).toBeDefined();
});

test("orders beyond the stock, and an order that cannot be told", () => {
  schedules("orders");
  expect(rowsOf("Schedule of orders")).toEqual([
    ["Access pointap-ax", "2", "1", "1", "pc"],
    ["Cable, Cat 6cable-cat6", "200", "0", "unknownthe stock as stated cannot be", "m"],
  ]);
});

test("hours by task, with what they may come to, the crew and its days", () => {
  schedules("work");
  expect(rowsOf("Schedule of work")).toEqual([
    ["mount an access point", "2", "1.50 h", "37.5 %"],
    ["pull a cable", "41.5", "2.50 h", "62.5 %"],
  ]);
  expect(plain(screen.getByRole("img").getAttribute("aria-label"))).toBe("3.1 h to 5.6 h, median 4.0 h");
  expect(plain(screen.getByText(/2 people, 1 day on site/).textContent)).toContain(
    "1.5 h of it has to be done by two",
  );
});

test("unit rates, statements with their reasons, and cautions with their work", async () => {
  const { onSelect } = schedules("extras");
  expect(rowsOf("Unit rates for extras")).toEqual([
    ["One more cable with its outlet", "€96.40", "as the longest"],
    ["One more hour", "unknownneeds price of `labour-hour`", ""],
  ]);
  expect(onSelect).not.toHaveBeenCalled();
  const said = schedules("statements");
  expect(rowsOf("Assumptions, risks and exclusions").map((row) => row.slice(1, 4))).toEqual([
    ["Assumption", "2 of 3 parts without a price of the firm's own", "cable-cat6"],
    ["Risk", "cables run inside 1 element that cannot be seen into", "switch to AP-1, g-mid"],
    ["Exclusion", "1 part needs an outlet that is not there", "AP-1"],
  ]);
  await userEvent.click(screen.getByRole("button", { name: /^Pipes hidden/ }));
  expect(said.onSelect).toHaveBeenCalledWith({ kind: "statement", id: "hidden-obstacles" });
  schedules("cautions");
  expect(rowsOf("Cautions of the work")).toEqual([["Drilling", "Find cables and pipes first."]]);
});

test("offers stand side by side, each with what it adds and costs over the one before", async () => {
  const { onShow } = schedules("offers");
  const offers = screen.getByRole("list", { name: "Offers side by side" });
  expect(offers.children).toHaveLength(2);
  expect(offers.children[0]?.textContent).toContain("As it isshown now");
  const text = plain(screen.getByText("Better").closest("li")?.textContent);
  expect(text).toContain("Ceilingrecommended");
  expect(text).toContain("Better than GoodCoverage97.0 % instead of 88.0 %");
  expect(text).toContain("Worse than GoodPrice, installed€833 instead of €410");
  expect(text).toContain("Mends what Good failsThe study is below target");
  expect(screen.getByText(/Only two options make sense/)).toBeDefined();
  await userEvent.click(screen.getByRole("button", { name: "Show this design: Ceiling" }));
  expect(onShow).toHaveBeenCalledWith("o2", "Ceiling");
});

test("terms are saved as one change of the job, which names what changed", async () => {
  const { onEdit } = schedules("terms");
  const user = userEvent.setup();
  const margin = screen.getByRole("textbox", { name: "Margin, % of the price without tax" });
  await user.clear(margin);
  await user.type(margin, "25");
  await user.click(screen.getByRole("button", { name: "Add a tax" }));
  expect(screen.getByText("2 changes are not saved yet.")).toBeDefined();
  await user.click(screen.getByRole("button", { name: "Save the terms" }));
  // The new tax has no name and no rate yet.
  expect(onEdit).not.toHaveBeenCalled();
  expect(screen.getByText("A tax needs a name")).toBeDefined();
  await user.click(screen.getByRole("button", { name: "Remove this tax" }));
  await user.click(screen.getByRole("button", { name: "Save the terms" }));
  expect(onEdit).toHaveBeenCalledWith("Terms of the quote, margin", [
    { kind: "set", path: "terms/margin", value: "25 %" },
  ]);
  expect(screen.getByText("Nothing is changed.")).toBeDefined();
});

test("a job without terms of its own is given those that are stated", async () => {
  const { onEdit } = schedules("terms", { hasTerms: false });
  const crew = screen.getByRole("textbox", { name: "People where the work needs two" });
  await userEvent.type(crew, "1");
  expect(screen.getByText("Write a whole number from 1 to 20")).toBeDefined();
  await userEvent.clear(crew);
  await userEvent.type(crew, "3{Enter}");
  expect(onEdit).toHaveBeenCalledWith("Terms of the quote, crew", [
    { kind: "set", path: "terms", value: { crew: 3 } },
  ]);
});

test("every schedule can be chosen, and each but the form is exported", () => {
  for (const part of costParts) {
    schedules(part);
  }
  expect(screen.getAllByRole("button", { name: /^Export / })).toHaveLength(costParts.length - 1);
});
