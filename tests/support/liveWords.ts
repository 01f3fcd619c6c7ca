/** A live page whose words a test changes on their way in: what the server will say in states that a short print does not reach. */
import type { Page } from "playwright-core";
import type { AlertLine } from "../../lib/model/alert.ts";
import type { LiveWords } from "../../lib/model/liveSheet.ts";

/** Before the page is opened: every message of words then says this instead. Call again to say something else. */
export async function sayInstead(page: Page, words: Partial<LiveWords>): Promise<void> {
  const set = (said: unknown): void => { (window as unknown as { saidInstead: unknown }).saidInstead = said; };
  await page.addInitScript(set, words);
  await page.evaluate(set, words);
  await page.addInitScript(() => {
    window.EventSource = class extends EventSource {
      override addEventListener(kind: string, heard: EventListenerObject | ((this: EventSource, event: MessageEvent<string>) => unknown)): void {
        const changed = (event: MessageEvent<string>): void => {
          const said = { ...JSON.parse(event.data) as object, ...(window as unknown as { saidInstead: object }).saidInstead };
          if (typeof heard === "function") heard.call(this, new MessageEvent("words", { data: JSON.stringify(said) }));
        };
        super.addEventListener(kind, (kind === "words" ? changed : heard) as EventListener);
      }
    };
  });
}

/** An alert of a gap in strand 1, 3 to 7 mm. */
export function madeAlert(n: number, more: Partial<AlertLine> = {}): AlertLine {
  return {
    n, cause: { kind: "gap", severity: "act", subject: "", place: { layer: 1, strand: 1, fromMm: 3, toMm: 7 }, worst: null }, priority: "medium", state: "unacknowledged", isOn: true, raisedAt: "2026-02-03T09:10:00.000Z",
    since: "2026-02-03T09:11:12.000Z", acknowledgedBy: null, shelf: null, escalations: 0, disposition: null, title: `Strand 1 of layer 1 has a gap of 4.0 mm at 3.0 mm, number ${n}`, advice: "Pause and look.", ...more,
  };
}
