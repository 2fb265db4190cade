import { expect, test, vi } from "vitest";
import { Newest } from "./newest.ts";

interface Call {
  asked: number;
  signal: AbortSignal;
  answer(text: string): void;
  fail(error: Error): void;
}

function asked() {
  const calls: Call[] = [];
  const answered = vi.fn();
  const failed = vi.fn();
  const run = (question: number, signal: AbortSignal) =>
    new Promise<string>((answer, fail) => calls.push({ asked: question, signal, answer, fail }));
  return { calls, answered, failed, newest: new Newest(run, answered, failed) };
}

const settle = () => new Promise((done) => setTimeout(done, 0));

test("one at a time, and after it the newest, never those between", async () => {
  const { calls, answered, newest } = asked();
  for (const question of [1, 2, 3]) newest.ask(question);
  expect(calls.map((call) => call.asked)).toEqual([1]);
  calls[0]?.answer("one");
  await settle();
  expect(answered).toHaveBeenLastCalledWith("one", 1);
  expect(calls.map((call) => call.asked)).toEqual([1, 3]);
  calls[1]?.answer("three");
  await settle();
  expect(answered).toHaveBeenLastCalledWith("three", 3);
  newest.ask(4);
  expect(calls.map((call) => call.asked)).toEqual([1, 3, 4]);
});

test("asking at once ends what runs, whose late answer is dropped", async () => {
  const { calls, answered, failed, newest } = asked();
  newest.ask(1);
  newest.ask(2);
  newest.askNow(3);
  expect(calls[0]?.signal.aborted).toBe(true);
  calls[0]?.answer("late");
  calls[1]?.answer("three");
  await settle();
  expect(answered.mock.calls).toEqual([["three", 3]]);
  expect(calls).toHaveLength(2);
  newest.ask(5);
  newest.cancel();
  calls[2]?.fail(new Error("ended"));
  await settle();
  expect(calls[2]?.signal.aborted).toBe(true);
  expect(failed).not.toHaveBeenCalled();
  expect(answered).toHaveBeenCalledOnce();
});

test("a failure is told, and the next question asked", async () => {
  const { calls, failed, newest } = asked();
  newest.ask(1);
  newest.ask(2);
  calls[0]?.fail(new Error("no such part"));
  await settle();
  expect(failed).toHaveBeenCalledWith(new Error("no such part"));
  expect(calls.map((call) => call.asked)).toEqual([1, 2]);
});
