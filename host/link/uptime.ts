// How long a controller has been running: the time of its ticks begins at 0 with every start and wraps after 71.6 minutes.
import type { LinkClient } from "./client.ts";
import { status } from "./device.ts";
import { numberOf } from "./payload.ts";

const WRAP_MS = 2 ** 32 / 1000;
/** Clocks that drift, and answers that take their time: less than this is no difference. */
const TOLERANCE_MS = 500;

/** Time since the start, ms, less whole wraps. Fails as a request does. */
export async function uptimeMs(client: LinkClient): Promise<number> {
  return numberOf(await status(client), "timeUs") / 1000;
}

/** Watches for a restart from now on. A restart within the first half second after a start is not noticed. */
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
