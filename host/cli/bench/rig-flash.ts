// Settings in the flash of a core rig: stored over the link as a controller in a car has them stored, once for any number of runs.
import { Duplex } from "node:stream";
import { MemoryFlash } from "#host/bench/core/flash.ts";
import { CoreRig } from "#host/bench/core/rig.ts";
import { LinkClient } from "#host/link/client.ts";
import { realClock } from "#host/link/clock.ts";
import { hello, requireFit } from "#host/link/device.ts";
import type { Line } from "#host/link/line.ts";
import { writeSettings } from "#host/link/transfer.ts";

/** The line of a core rig: every answer is there at once. */
function rigLine(rig: CoreRig): Line {
  const stream = new Duplex({
    read() {},
    write(chunk: Uint8Array, _encoding, done) {
      const answer = rig.exchange(new Uint8Array(chunk));
      if (answer.length > 0) stream.push(answer);
      done();
    },
  });
  return {
    name: "core rig",
    stream,
    baud: undefined,
    setBaud: async () => {},
    close: async () => void stream.destroy(),
  };
}

/** Flash of a controller that has stored a settings block. Fails as the link does. */
export async function storedFlash(module: WebAssembly.Module, block: Uint8Array): Promise<MemoryFlash> {
  const flash = new MemoryFlash();
  const rig = new CoreRig(module, flash);
  rig.start();
  const client = new LinkClient(rigLine(rig), { clock: realClock });
  try {
    requireFit(await hello(client));
    await writeSettings(client, block);
  } finally {
    await client.close();
  }
  return flash;
}
