/** One program and one browser for all journeys; those that kill the program start their own. */

import type { TestProject } from "vitest/node";
import { launchServer } from "./browser.ts";
import { Program } from "./program.ts";

declare module "vitest" {
  export interface ProvidedContext {
    origin: string;
    browser: string;
  }
}

export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const program = await Program.start();
  const browser = await launchServer();
  project.provide("origin", program.origin);
  project.provide("browser", browser.wsEndpoint());
  return async () => {
    await browser.close();
    await program.remove();
  };
}
