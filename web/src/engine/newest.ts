/**
 * Asks for something over and over while what is asked changes: one request at a time, and when it is answered the newest
 * question that came meanwhile. Nothing is queued. Ending a request whenever a newer question comes would leave a hand
 * that does not rest without any answer.
 */

export class Newest<Asked, Answer> {
  readonly #run: (asked: Asked, signal: AbortSignal) => Promise<Answer>;
  readonly #answered: (answer: Answer, asked: Asked) => void;
  readonly #failed: (error: Error) => void;
  #running: AbortController | null = null;
  #next: { asked: Asked } | null = null;

  constructor(
    run: (asked: Asked, signal: AbortSignal) => Promise<Answer>,
    answered: (answer: Answer, asked: Asked) => void,
    failed: (error: Error) => void,
  ) {
    this.#run = run;
    this.#answered = answered;
    this.#failed = failed;
  }

  /** Asks as soon as the request under way is answered; a question that waits is forgotten for this one. */
  ask(asked: Asked): void {
    if (this.#running) this.#next = { asked };
    else void this.#start(asked);
  }

  /** Ends the request under way and asks at once. */
  askNow(asked: Asked): void {
    this.cancel();
    void this.#start(asked);
  }

  /** Ends the request under way; nothing more is answered. */
  cancel(): void {
    this.#next = null;
    this.#running?.abort();
    this.#running = null;
  }

  async #start(asked: Asked): Promise<void> {
    const controller = new AbortController();
    this.#running = controller;
    try {
      const answer = await this.#run(asked, controller.signal);
      if (this.#running === controller) this.#answered(answer, asked);
    } catch (error) {
      if (this.#running === controller)
        this.#failed(error instanceof Error ? error : new Error(String(error)));
    }
    if (this.#running !== controller) return;
    this.#running = null;
    const next = this.#next;
    this.#next = null;
    if (next) void this.#start(next.asked);
  }
}
