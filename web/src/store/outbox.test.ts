import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { renameJob } from "../document/edits.ts";
import { drawn, flush, opened, outboxOf, pendingEdits, step, submit, useOutboxes } from "./outbox.ts";

const answer = { can_undo: true, can_redo: false, undo_label: "Rename the job", redo_label: null };
const correspondent = { who: () => "", acknowledged: vi.fn(), outdated: vi.fn() };
/** Answers in turn; what was sent is kept in `bodies`. */
const fetched = vi.fn<() => Promise<Response>>();
const bodies: unknown[] = [];

function reply(status: number, body: unknown): Response {
  return Response.json(body, { status });
}

async function settled() {
  await vi.waitFor(() => expect(outboxOf("j").isSending).toBe(false));
}

beforeEach(() => {
  localStorage.clear();
  useOutboxes.setState({ jobs: {}, isConnected: true });
  fetched.mockReset();
  bodies.length = 0;
  vi.stubGlobal("fetch", async (request: Request) => {
    bodies.push(await request.clone().json());
    return fetched();
  });
  vi.clearAllMocks();
  opened("j", 4);
});

afterEach(() => vi.unstubAllGlobals());

test("edits go one after the other, each on the revision before it", async () => {
  fetched
    .mockResolvedValueOnce(reply(200, { ...answer, revision: 5 }))
    .mockResolvedValueOnce(reply(200, { ...answer, revision: 6 }));
  submit("j", "Rename the job", renameJob("A"), correspondent);
  submit("j", "Rename the job", renameJob("B"), correspondent);
  await settled();
  expect(bodies).toMatchObject([{ base_revision: 4 }, { base_revision: 5 }]);
  expect(outboxOf("j")).toMatchObject({ unsent: [], revision: 6, refusal: null });
  expect(correspondent.acknowledged).toHaveBeenCalledTimes(2);
});

test("what is saved stays in view until what is drawn has it", async () => {
  fetched.mockResolvedValueOnce(reply(200, { ...answer, revision: 5 }));
  submit("j", "Rename the job", renameJob("A"), correspondent);
  await settled();
  expect(pendingEdits(outboxOf("j"))).toEqual(renameJob("A"));
  drawn("j", 4);
  expect(pendingEdits(outboxOf("j"))).toEqual(renameJob("A"));
  drawn("j", 5);
  expect(pendingEdits(outboxOf("j"))).toEqual([]);
});

test("a lost connection keeps the edit, also for the next visit, and sends it later", async () => {
  fetched.mockRejectedValueOnce(new TypeError("failed to fetch"));
  submit("j", "Rename the job", renameJob("A"), correspondent);
  await settled();
  expect(useOutboxes.getState().isConnected).toBe(false);
  expect(outboxOf("j").unsent).toHaveLength(1);

  useOutboxes.setState({ jobs: {} });
  opened("j", 4);
  expect(outboxOf("j").unsent).toHaveLength(1);
  fetched.mockResolvedValueOnce(reply(200, { ...answer, revision: 5 }));
  await flush("j", correspondent);
  expect(outboxOf("j").unsent).toEqual([]);
  expect(localStorage.length).toBe(0);
  expect(useOutboxes.getState().isConnected).toBe(true);
});

test("somebody else's edit is told, and ours is kept to be made again", async () => {
  fetched.mockResolvedValueOnce(reply(409, { title: "Stale", detail: "", revision: 9 }));
  submit("j", "Rename the job", renameJob("A"), correspondent);
  await settled();
  expect(outboxOf("j").refusal).toMatchObject({ kind: "conflict", unsent: { edits: renameJob("A") } });
  expect(correspondent.outdated).toHaveBeenCalledOnce();
});

test("an edit that waited over somebody else's is not slipped in after it", async () => {
  fetched.mockRejectedValueOnce(new TypeError("failed to fetch"));
  submit("j", "Rename the job", renameJob("A"), correspondent);
  await settled();
  useOutboxes.setState({ jobs: {} });
  opened("j", 9);
  fetched.mockResolvedValueOnce(reply(409, { title: "Stale", detail: "", revision: 9 }));
  await flush("j", correspondent);
  expect(bodies.at(-1)).toMatchObject({ base_revision: 4 });
  expect(outboxOf("j")).toMatchObject({ refusal: { kind: "conflict" }, unsent: [], revision: 9 });
});

test("a refused edit is told with the server's words and not sent again", async () => {
  const problem = { title: "Edit refused", detail: "the list has no element with id `x`" };
  fetched.mockResolvedValueOnce(reply(422, problem));
  submit("j", "Rename", renameJob("A"), correspondent);
  await settled();
  expect(outboxOf("j").refusal).toMatchObject({ kind: "refused", problem });
  expect(outboxOf("j").unsent).toEqual([]);
});

test("nothing is undone while edits wait", async () => {
  fetched.mockRejectedValueOnce(new TypeError("failed to fetch"));
  submit("j", "Rename the job", renameJob("A"), correspondent);
  await settled();
  await step("j", "undo", "Undo", correspondent);
  expect(fetched).toHaveBeenCalledOnce();
});
