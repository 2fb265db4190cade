import react from "@vitejs/plugin-react";
import { defineConfig } from "vitest/config";

// The server that the development page talks to; the built page is served by it.
const server = "http://127.0.0.1:4780";

export default defineConfig({
  plugins: [react()],
  server: {
    proxy: { "/api": { target: server, changeOrigin: true, ws: true, headers: { origin: server } } },
  },
  build: {
    outDir: "dist",
    target: "es2023",
    // The server's policy allows no inline scripts, styles or data addresses.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    cssCodeSplit: false,
    reportCompressedSize: true,
  },
  test: {
    environment: "happy-dom",
    include: ["src/**/*.test.ts", "src/**/*.test.tsx", "tests/**/*.test.ts"],
    setupFiles: ["tests/setup.ts"],
  },
});
