/** The open line to the server for work that takes time: progress comes in, cancelling goes out, changes are heard. */

import { ConnectionLost, type MapAsked, ServerProblem } from "./calls.ts";
import type { CoverageMap, LiveAnswer, LiveRequest, Plan, PlanAnswer } from "./types.ts";

/** How far a request has come. */
export interface Progress {
  step: string;
  done: number;
  total: number;
}

export interface Listener {
  /** The job was edited by anyone, this page included. */
  changed(revision: number): void;
  /** The line is open, or lost and tried again. */
  connected(isOpen: boolean): void;
}

interface Waiting {
  message: LiveRequest;
  progress(progress: Progress): void;
  answer(answer: LiveAnswer): void;
  fail(error: Error): void;
}

/** Waits between attempts to reach the server again, milliseconds; the last one repeats. */
const waits = [300, 1000, 2000, 4000, 8000];

/** What an aborted request rejects with, as `fetch` does. */
function aborted(): DOMException {
  return new DOMException("cancelled", "AbortError");
}

export type OpenSocket = (address: string) => WebSocket;

export class Live {
  readonly #address: string;
  readonly #listener: Listener;
  readonly #open: OpenSocket;
  readonly #waiting = new Map<number, Waiting>();
  #socket: WebSocket | null = null;
  #next = 1;
  #attempts = 0;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #isClosed = false;

  constructor(jobId: string, listener: Listener, open: OpenSocket = (address) => new WebSocket(address)) {
    const { protocol, host } = globalThis.location;
    const scheme = protocol === "https:" ? "wss:" : "ws:";
    this.#address = `${scheme}//${host}/api/jobs/${encodeURIComponent(jobId)}/live`;
    this.#listener = listener;
    this.#open = open;
    this.#connect();
  }

  close(): void {
    this.#isClosed = true;
    clearTimeout(this.#timer);
    this.#socket?.close();
    for (const waiting of this.#waiting.values()) waiting.fail(aborted());
    this.#waiting.clear();
  }

  plan(signal: AbortSignal, progress: (progress: Progress) => void): Promise<PlanAnswer> {
    return this.#ask<PlanAnswer>(
      (request) => ({ type: "plan", request }),
      signal,
      progress,
      (answer) => (answer.type === "plan" ? { revision: answer.revision, plan: answer.plan as Plan } : null),
    );
  }

  map(asked: MapAsked, signal: AbortSignal, progress: (progress: Progress) => void): Promise<CoverageMap> {
    return this.#ask<CoverageMap>(
      (request) => ({ type: "map", request, ...asked }),
      signal,
      progress,
      (answer) => (answer.type === "map" ? answer.map : null),
    );
  }

  #ask<T>(
    make: (request: number) => LiveRequest,
    signal: AbortSignal,
    progress: (progress: Progress) => void,
    read: (answer: LiveAnswer) => T | null,
  ): Promise<T> {
    return new Promise<T>((resolve, reject) => {
      if (signal.aborted || this.#isClosed) return reject(aborted());
      const request = this.#next++;
      const message = make(request);
      const done = () => this.#waiting.delete(request);
      signal.addEventListener("abort", () => {
        if (!done()) return;
        this.#send({ type: "cancel", request });
        reject(aborted());
      });
      this.#waiting.set(request, {
        message,
        progress,
        answer: (answer) => {
          const value = read(answer);
          if (value === null) return;
          done();
          resolve(value);
        },
        fail: (error) => {
          done();
          reject(error);
        },
      });
      // Before the line is open the request waits; it is sent when it opens.
      this.#send(message);
    });
  }

  #send(message: LiveRequest): void {
    if (this.#socket?.readyState === 1) this.#socket.send(JSON.stringify(message));
  }

  #connect(): void {
    if (this.#isClosed) return;
    const socket = this.#open(this.#address);
    this.#socket = socket;
    socket.onopen = () => {
      this.#attempts = 0;
      this.#listener.connected(true);
      for (const waiting of this.#waiting.values()) this.#send(waiting.message);
    };
    socket.onmessage = (event) => this.#receive(event.data);
    socket.onclose = () => this.#lost(socket);
  }

  #lost(socket: WebSocket): void {
    if (this.#isClosed || this.#socket !== socket) return;
    this.#socket = null;
    // Requests wait for the line to open again: the answer is cached at the server or computed anew.
    if (this.#attempts > 0) for (const waiting of this.#waiting.values()) waiting.fail(new ConnectionLost());
    this.#listener.connected(false);
    this.#timer = setTimeout(() => this.#connect(), waits[Math.min(this.#attempts, waits.length - 1)]);
    this.#attempts += 1;
  }

  #receive(data: unknown): void {
    let answer: LiveAnswer;
    try {
      answer = JSON.parse(String(data)) as LiveAnswer;
    } catch {
      return;
    }
    if (answer.type === "changed") {
      this.#listener.changed(answer.revision);
      return;
    }
    // An answer to a request that nobody waits for any more is dropped.
    const waiting = answer.request === null ? undefined : this.#waiting.get(answer.request);
    if (!waiting) return;
    if (answer.type === "progress") {
      waiting.progress({ step: answer.step, done: answer.done, total: answer.total });
    } else if (answer.type === "failed") {
      waiting.fail(new ServerProblem(answer.problem));
    } else if (answer.type === "cancelled") {
      waiting.fail(aborted());
    } else {
      waiting.answer(answer);
    }
  }
}
