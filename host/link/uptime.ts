// How long a controller has been running. Its tick time starts at 0 with every start and wraps after 71.6 minutes.
import type { LinkClient } from "./client.ts";
import { status } from "./device.ts";
import { numberOf } from "./payload.ts";

const WRAP_MS = 2 ** 32 / 1000;
/** Differences below this are explained by clock drift and slow answers. */
const TOLERANCE_MS = 500;

/** Time since the start, ms, modulo the wrap. Fails as a request does. */
export async function uptimeMs(client: LinkClient): Promise<number> {
  return numberOf(await status(client), "timeUs") / 1000;
}

/** Watches for a restart from now on. A restart within half a second of the previous start goes unnoticed. */
export async function uptimeWatch(client: LinkClient): Promise<{ hasRestarted(): Promise<boolean> }> {
  const [beganMs, atMs] = [await uptimeMs(client), client.clock.nowMs()];
  return {
    async hasRestarted() {
      const now = await uptimeMs(client);
      const expected = beganMs + client.clock.nowMs() - atMs;
      const short = (((expected - now) % WRAP_MS) + WRAP_MS) % WRAP_MS;
      return short > TOLERANCE_MS && short < WRAP_MS - TOLERANCE_MS;
    },
  };
}
