import { QueryClientProvider } from "@tanstack/react-query";
import { render, screen, waitFor } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { client } from "../../store/queries.ts";
import { NewHomePage } from "./NewHomePage.tsx";

beforeEach(() => {
  client.clear();
  vi.stubGlobal("fetch", async (request: Request) => {
    if (request.url.endsWith("/countries")) {
      return Response.json({ countries: [{ code: "GB", name: "United Kingdom" }] });
    }
    const home = (await request.json()) as { rooms: { bedrooms: number } };
    if (home.rooms.bedrooms <= 4) return Response.json({ house: null, notes: ["Ceilings 2.4 m high"] });
    const problem = { path: "rooms.bedrooms", message: "20 bedrooms do not fit", hint: "4 bedrooms fit" };
    const body = { type: "about:blank", title: "Does not fit", status: 422, detail: "", problems: [problem] };
    return Response.json(body, { status: 422 });
  });
});

afterEach(() => vi.unstubAllGlobals());

test("a wish that does not fit is told at its field, with what fits, and nothing is created", async () => {
  render(
    <QueryClientProvider client={client}>
      <NewHomePage />
    </QueryClientProvider>,
  );
  const bedrooms = screen.getByRole("spinbutton", { name: "Bedrooms" });
  const create = screen.getByRole<HTMLButtonElement>("button", { name: "Create this home" });
  expect(create.disabled).toBe(false);
  await userEvent.clear(bedrooms);
  await userEvent.type(bedrooms, "20");
  await waitFor(() => expect(bedrooms.getAttribute("aria-invalid")).toBe("true"));
  const note = document.getElementById(bedrooms.getAttribute("aria-describedby") ?? "");
  expect(note?.textContent).toContain("20 bedrooms do not fit");
  expect(note?.textContent).toContain("4 bedrooms fit");
  expect(create.disabled).toBe(true);
  await userEvent.clear(bedrooms);
  await userEvent.type(bedrooms, "2");
  await waitFor(() => expect(bedrooms.hasAttribute("aria-invalid")).toBe(false));
  expect(create.disabled).toBe(false);
});
