import "@testing-library/jest-dom/vitest";
import { cleanup } from "@testing-library/react";
import { afterEach } from "vitest";

// Vitest's functions are imported, not global, so the page is cleared here after each test.
afterEach(cleanup);
