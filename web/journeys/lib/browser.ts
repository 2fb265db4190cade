/** Debian's Chromium, and pages that remember everything that went wrong in them. */

import { existsSync } from "node:fs";
import {
  type Browser,
  type BrowserContext,
  type BrowserServer,
  chromium,
  type LaunchOptions,
  type Page,
} from "playwright-core";
import { expect } from "vitest";

const places = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/snap/bin/chromium"];

/** Sizes of windows: a desk, a tablet held upright, a telephone. */
export const sizes = {
  desk: { width: 1440, height: 900 },
  tablet: { width: 820, height: 1180 },
  phone: { width: 390, height: 844 },
} as const;
export type SizeName = keyof typeof sizes;
export type Theme = "light" | "dark";

function options(): LaunchOptions {
  const executablePath = process.env.CHROMIUM ?? places.find((place) => existsSync(place));
  if (!executablePath) throw new Error("Chromium is not installed: install Debian's package `chromium`");
  return {
    executablePath,
    args: [
      "--no-sandbox",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-default-apps",
      "--disable-sync",
      "--no-first-run",
      // Letters of the same shape on every machine.
      "--font-render-hinting=none",
      "--disable-lcd-text",
      "--force-color-profile=srgb",
    ],
  };
}

export async function launch(): Promise<Browser> {
  return await chromium.launch(options());
}

/** A browser for several processes, each of which connects to it. */
export async function launchServer(): Promise<BrowserServer> {
  return await chromium.launchServer(options());
}

export interface Looks {
  size?: SizeName;
  theme?: Theme;
  locale?: string;
}

/** A window on the program, with a list of what went wrong in it. */
export interface Visit {
  context: BrowserContext;
  page: Page;
  /** What went wrong, in words, oldest first. */
  faults: string[];
  /** Says that a fault like this is what the journey is about. */
  allow(...patterns: RegExp[]): void;
  /** Goes to an address of the program. */
  to(path: string): Promise<void>;
  /** Fails if anything went wrong that was not allowed; closes the window. */
  end(): Promise<void>;
}

export async function visit(browser: Browser, origin: string, looks: Looks = {}): Promise<Visit> {
  const context = await browser.newContext({
    viewport: sizes[looks.size ?? "desk"],
    colorScheme: looks.theme ?? "light",
    locale: looks.locale ?? "en-GB",
    timezoneId: "UTC",
    reducedMotion: "reduce",
    deviceScaleFactor: 1,
  });
  context.setDefaultTimeout(20_000);
  return await watched(context, origin);
}

/** Another tab of the same browser. */
export async function anotherTab(of: Visit, origin: string): Promise<Visit> {
  return await watched(of.context, origin);
}

async function watched(context: BrowserContext, origin: string): Promise<Visit> {
  const page = await context.newPage();
  const faults: string[] = [];
  const allowed: RegExp[] = [];
  const host = new URL(origin).host;
  page.on("console", (message) => {
    if (message.type() === "error") faults.push(`console: ${message.text()} ${message.location().url}`);
  });
  page.on("pageerror", (error) => faults.push(`error: ${error.message}`));
  page.on("dialog", (dialog) => {
    faults.push(`dialog: ${dialog.message()}`);
    void dialog.dismiss();
  });
  page.on("request", (request) => {
    const url = new URL(request.url());
    if (url.protocol.startsWith("http") && url.host !== host) faults.push(`another host: ${request.url()}`);
  });
  page.on("websocket", (line) => {
    if (new URL(line.url()).host !== host) faults.push(`another host: ${line.url()}`);
  });
  await page.addInitScript(() => {
    document.addEventListener("securitypolicyviolation", (event) => {
      console.error(`policy: ${event.violatedDirective} ${event.blockedURI}`);
    });
  });
  return {
    context,
    page,
    faults,
    allow: (...patterns) => allowed.push(...patterns),
    to: async (path) => {
      await page.goto(origin + path);
    },
    end: async () => {
      await page.close();
      expect(faults.filter((fault) => !allowed.some((pattern) => pattern.test(fault)))).toEqual([]);
    },
  };
}
