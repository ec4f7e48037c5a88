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

/**
 * Watches for a restart from now on. A restart within half a second of the previous start goes unnoticed; a controller whose
 * clock is slow, as an emulated one's on a busy computer, has restarted only if it may have started since.
 */
export async function uptimeWatch(client: LinkClient): Promise<{ hasRestarted(): Promise<boolean> }> {
  const [beganMs, atMs] = [await uptimeMs(client), client.clock.nowMs()];
  return {
    async hasRestarted() {
      const now = await uptimeMs(client);
      const passedMs = client.clock.nowMs() - atMs;
      const short = (((beganMs + passedMs - now) % WRAP_MS) + WRAP_MS) % WRAP_MS;
      const goesOn = short <= TOLERANCE_MS || short >= WRAP_MS - TOLERANCE_MS;
      return !goesOn && now <= passedMs + TOLERANCE_MS;
    },
  };
}
