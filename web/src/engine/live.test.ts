import { expect, test, vi } from "vitest";
import { ConnectionLost } from "./calls.ts";
import { Live } from "./live.ts";

class FakeSocket {
  readyState = 0;
  sent: unknown[] = [];
  onopen: (() => void) | null = null;
  onclose: (() => void) | null = null;
  onmessage: ((event: { data: string }) => void) | null = null;
  send(text: string) {
    this.sent.push(JSON.parse(text));
  }
  close() {
    this.readyState = 3;
  }
  opened() {
    this.readyState = 1;
    this.onopen?.();
  }
  lost() {
    this.readyState = 3;
    this.onclose?.();
  }
  says(message: unknown) {
    this.onmessage?.({ data: JSON.stringify(message) });
  }
}

function line() {
  const sockets: FakeSocket[] = [];
  const listener = { changed: vi.fn(), connected: vi.fn() };
  const live = new Live("j", listener, () => {
    const socket = new FakeSocket();
    sockets.push(socket);
    return socket as unknown as WebSocket;
  });
  return { live, listener, sockets, socket: () => sockets.at(-1) as FakeSocket };
}

const never = new AbortController().signal;
const plan = { assumptions: [], options: [], excluded: [] };

test("a request waits for the line, hears progress and gets its answer", async () => {
  const { live, socket, listener } = line();
  const progress = vi.fn();
  const answer = live.plan(never, progress);
  expect(socket().sent).toEqual([]);
  socket().opened();
  expect(socket().sent).toEqual([{ type: "plan", request: 1 }]);
  socket().says({ type: "progress", request: 1, step: "searching", done: 1, total: 4 });
  socket().says({ type: "changed", revision: 7 });
  socket().says({ type: "plan", request: 99, revision: 1, plan });
  socket().says({ type: "plan", request: 1, revision: 3, plan });
  expect(await answer).toEqual({ revision: 3, plan });
  expect(progress).toHaveBeenCalledWith({ step: "searching", done: 1, total: 4 });
  expect(listener.changed).toHaveBeenCalledWith(7);
});

test("cancelling tells the server and drops the late answer", async () => {
  const { live, socket } = line();
  socket().opened();
  const control = new AbortController();
  const answer = live.plan(control.signal, () => {});
  control.abort();
  await expect(answer).rejects.toMatchObject({ name: "AbortError" });
  expect(socket().sent).toEqual([
    { type: "plan", request: 1 },
    { type: "cancel", request: 1 },
  ]);
  socket().says({ type: "plan", request: 1, revision: 3, plan });
});

test("a lost line is opened again and the request sent again; a second loss is told", async () => {
  vi.useFakeTimers();
  const { live, sockets, socket, listener } = line();
  socket().opened();
  const answer = live.plan(never, () => {});
  socket().lost();
  expect(listener.connected).toHaveBeenLastCalledWith(false);
  vi.advanceTimersByTime(300);
  expect(sockets).toHaveLength(2);
  socket().opened();
  expect(socket().sent).toEqual([{ type: "plan", request: 1 }]);
  socket().lost();
  vi.advanceTimersByTime(300);
  socket().lost();
  await expect(answer).rejects.toBeInstanceOf(ConnectionLost);
  live.close();
  vi.useRealTimers();
});
