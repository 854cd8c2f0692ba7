import react from "@vitejs/plugin-react";
import { defineConfig } from "vitest/config";

const SERVICE = "http://127.0.0.1:8765";

export default defineConfig({
  // Relative, so that the page works wherever the service mounts it.
  base: "./",
  plugins: [react()],
  build: {
    outDir: "dist",
    emptyOutDir: true,
    // Every asset stays a file of ours: nothing is inlined beyond small icons, nothing fetched.
    assetsInlineLimit: 2048,
    // three.js alone is past the default; the page comes from this machine.
    chunkSizeWarningLimit: 1500,
    sourcemap: false,
    // The notices of what the bundle carries travel with it.
    license: { fileName: "licences.md" },
  },
  server: {
    host: "127.0.0.1",
    proxy: { "/api": SERVICE },
  },
  test: {
    environment: "jsdom",
    setupFiles: ["./vitest.setup.ts"],
    include: ["src/**/*.test.{ts,tsx}"],
    restoreMocks: true,
  },
});
