// A restart is told from a clock that is slow, and from one that wraps.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import type { LinkClient } from "#host/link/client.ts";
import { uptimeWatch } from "#host/link/uptime.ts";

const WRAP_MS = 2 ** 32 / 1000;
const MOST_MS = 60_000;

/** A controller that says one time after the other, and a host's clock that has gone so far by then. */
async function hasRestarted(beganMs: number, passedMs: number, thenMs: number): Promise<boolean> {
  const [says, nowMs] = [
    [beganMs, thenMs],
    [0, passedMs],
  ];
  const timeUs = (): number => Math.round(1000 * says.shift()!) % 2 ** 32;
  const request = (): Promise<unknown> => Promise.resolve({ values: { timeUs: timeUs() } });
  const watch = await uptimeWatch({
    request,
    clock: { nowMs: () => nowMs.shift()! },
  } as unknown as LinkClient);
  return watch.hasRestarted();
}

const passed = fc.double({ min: 0, max: MOST_MS, noNaN: true });

test.prop([fc.double({ min: MOST_MS + 1000, max: WRAP_MS - 1, noNaN: true }), passed])(
  "a clock that goes on has not begun anew, be it after its wrap",
  async (began, ms) => {
    expect(await hasRestarted(began, ms, (began + ms) % WRAP_MS)).toBe(false);
  },
);

test.prop([
  fc.double({ min: MOST_MS + 1000, max: WRAP_MS - MOST_MS - 1, noNaN: true }),
  passed,
  fc.double({ min: 0, max: 1, noNaN: true }),
])("nor has one that is slow", async (began, ms, speed) => {
  expect(await hasRestarted(began, ms, began + speed * ms)).toBe(false);
});

test.prop([
  fc.double({ min: MOST_MS + 1000, max: WRAP_MS - MOST_MS - 1000, noNaN: true }),
  passed,
  fc.double({ min: 0, max: 1, noNaN: true }),
])("one that started since then has", async (began, ms, part) => {
  expect(await hasRestarted(began, ms, part * ms)).toBe(true);
});
