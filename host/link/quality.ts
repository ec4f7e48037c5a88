// Measures the quality of a line: round trips and damaged frames over a few seconds, counted at both ends.
import type { LinkClient } from "./client.ts";
import { type Clock, pauseOn } from "./clock.ts";
import { status } from "./device.ts";
import { numberOf } from "./payload.ts";

/** What was measured. Times in milliseconds. */
export interface LineQuality {
  readonly ms: number;
  readonly requests: number;
  readonly repeats: number;
  /** Damaged frames received by this computer, and by the controller. */
  readonly damagedHere: number;
  readonly damagedThere: number;
  readonly leastMs: number;
  readonly medianMs: number;
  readonly mostMs: number;
}

/** Between two requests. A line may answer in no time at all, and then nothing else would let time pass. */
const PAUSE_MS = 1;
const WRAP = 0x10000;

/** Requests the status repeatedly for this long. Fails as a request does. */
export async function lineQuality(client: LinkClient, forMs: number, clock: Clock): Promise<LineQuality> {
  const badFrames = async (): Promise<number> => numberOf(await status(client), "badFrames");
  const startBad = await badFrames();
  const before = { ...client.counts };
  const start = clock.nowMs();
  const trips: number[] = [];
  let lastBad = startBad;
  do {
    const sent = clock.nowMs();
    lastBad = await badFrames();
    trips.push(clock.nowMs() - sent);
    await pauseOn(clock)(PAUSE_MS);
  } while (clock.nowMs() < start + forMs);
  trips.sort((a, b) => a - b);
  return {
    ms: clock.nowMs() - start,
    requests: client.counts.requests - before.requests,
    repeats: client.counts.repeats - before.repeats,
    damagedHere: client.counts.damaged - before.damaged,
    damagedThere: (lastBad - startBad + WRAP) % WRAP,
    leastMs: trips[0]!,
    medianMs: trips[trips.length >> 1]!,
    mostMs: trips.at(-1)!,
  };
}
