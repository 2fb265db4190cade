/** The program under test, on a folder of its own: started, killed, started again on the same jobs. */

import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { createInterface } from "node:readline";

const startLimitMs = 30_000;

/** The program's file, as the environment names it. */
export function programFile(): string {
  const named = process.env.WALLPLATE;
  if (!named) throw new Error("WALLPLATE names no program: set it to the built `wallplate`");
  const file = resolve(named);
  if (!existsSync(file)) throw new Error(`WALLPLATE names ${file}, which does not exist: build it first`);
  return file;
}

/** Calls to a program's interface, as another program would make them. */
export class Calls {
  /** Where the page is, without a slash at the end. */
  origin: string;

  constructor(origin: string) {
    this.origin = origin;
  }

  async get<T>(path: string): Promise<T> {
    return await answerOf<T>(await fetch(`${this.origin}/api${path}`), path);
  }

  async post<T>(path: string, body: unknown): Promise<T> {
    const response = await fetch(`${this.origin}/api${path}`, {
      method: "POST",
      headers: { "content-type": "application/json", origin: this.origin },
      body: JSON.stringify(body),
    });
    return await answerOf<T>(response, path);
  }

  /** A copy of a demo home among the jobs; its id. */
  async demo(id: string): Promise<string> {
    return (await this.post<{ id: string }>(`/demos/${id}`, {})).id;
  }
}

export class Program extends Calls {
  /** Folder of the jobs. */
  readonly data: string;
  private child: ChildProcess | null = null;
  private said = "";

  private constructor(data: string) {
    super("");
    this.data = data;
  }

  /** Starts on an empty folder and a free port. */
  static async start(): Promise<Program> {
    const program = new Program(mkdtempSync(join(tmpdir(), "wallplate-journey-")));
    await program.run(0);
    return program;
  }

  /** Starts again, on the same jobs and at the same address. */
  async restart(): Promise<void> {
    await this.run(Number(new URL(this.origin).port));
  }

  private async run(port: number): Promise<void> {
    const child = spawn(programFile(), ["serve", "--data", this.data, "--port", String(port)], {
      stdio: ["ignore", "pipe", "pipe"],
    });
    this.child = child;
    child.stderr.on("data", (chunk: Buffer) => {
      this.said += chunk.toString();
    });
    this.origin = await new Promise<string>((found, failed) => {
      const timer = setTimeout(() => failed(new Error(`no address was printed\n${this.said}`)), startLimitMs);
      child.once("error", failed);
      child.once("exit", (code) => failed(new Error(`the program ended with ${code}\n${this.said}`)));
      createInterface({ input: child.stdout }).on("line", (line) => {
        const address = /http:\/\/[^\s/]+/.exec(line)?.[0];
        if (!address) return;
        clearTimeout(timer);
        found(address);
      });
    });
  }

  /** Ends it in the middle of whatever it does, as a lost power supply would. */
  async kill(): Promise<void> {
    const { child } = this;
    if (!child || child.exitCode !== null || child.signalCode !== null) return;
    const ended = new Promise((done) => child.once("exit", done));
    child.kill("SIGKILL");
    await ended;
  }

  /** Ends it and takes its jobs away. */
  async remove(): Promise<void> {
    await this.kill();
    rmSync(this.data, { recursive: true, force: true });
  }

  /** What it wrote to standard error. */
  get log(): string {
    return this.said;
  }
}

async function answerOf<T>(response: Response, path: string): Promise<T> {
  if (!response.ok) throw new Error(`${path}: ${response.status} ${await response.text()}`);
  return (await response.json()) as T;
}
