import { defineConfig } from "vitest/config";

// Journeys of people through the built page, in Chromium, on the real program: one after the other, for they share both.
export default defineConfig({
  test: {
    environment: "node",
    include: ["journeys/**/*.test.ts"],
    globalSetup: ["journeys/lib/setup.ts"],
    fileParallelism: false,
    isolate: false,
    testTimeout: 120_000,
    hookTimeout: 60_000,
    // A journey that hangs is looked at, not tried again.
    retry: 0,
  },
});
