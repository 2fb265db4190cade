import { defineConfig } from "vitest/config";

// Journeys of people through the built page, in Chromium, on the real program. Two files at a time: they share program and
// browser, and each opens jobs of its own.
export default defineConfig({
  test: {
    environment: "node",
    include: ["journeys/**/*.test.ts"],
    globalSetup: ["journeys/lib/setup.ts"],
    maxWorkers: 2,
    isolate: false,
    testTimeout: 240_000,
    hookTimeout: 60_000,
    // A journey that hangs is looked at, not tried again.
    retry: 0,
  },
});
