/** Runs one of the scripts beside it, which are TypeScript: `node journeys/run.mjs shots [options]`. */

import { runnerImport } from "vite";

const [name, ...options] = process.argv.slice(2);
const { module } = await runnerImport(new URL(`./${name}.ts`, import.meta.url).pathname, {
  configFile: false,
  logLevel: "error",
});
await module.run(options);
