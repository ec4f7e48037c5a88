// Random rides that the core and the tick in C make together: what went in and what C said are kept, to hold other cores against.
import type { CoreRig } from "#host/bench/core/rig.ts";
import type { ElfFile } from "#host/image/elf.ts";
import { LIVE } from "#shared-schema/link/columns.ts";
import { INPUTS, LOG_RING, OUTPUTS } from "#shared-schema/model/blocks.ts";
import { blockBytes } from "#shared-schema/model/layout.ts";
import { type Document, pack } from "#shared-schema/settings/pack.ts";
import { Device } from "../../oracle/device.ts";
import { type Counts, Sequence } from "../../oracle/run.ts";
import type { NativeCore } from "../../support/native-core.ts";
import { Random } from "../../support/random.ts";
import { TickC, twinInC } from "./twin.ts";

/** The log changes seldom and is long: it is kept once in so many ticks. */
const LOG_EVERY = 64;

/** One tick: when, what the board layer had read, and what came of it in outputs, live block and, now and then, log. */
interface Moment {
  readonly nowUs: number;
  readonly inputs: Uint8Array;
  readonly said: Uint8Array;
  readonly log: Uint8Array | undefined;
}

/** A ride: the settings in force, and its ticks. */
export interface Ride {
  readonly words: Uint16Array;
  readonly moments: readonly Moment[];
}

/** Where core and C first said something different; undefined when they never did. */
export interface Recorded extends Ride {
  readonly differs: string | undefined;
}

/** What a ride is made of: its seed decides settings and car; it has so many ticks, fewer when the core locks itself. */
interface Plan {
  readonly seed: number;
  readonly ticks: number;
  readonly counts: Counts;
}

const BLOCKS = [
  ["outputs", blockBytes(OUTPUTS)],
  ["live", blockBytes(LIVE)],
] as const;

/** Makes a ride on a core that is not started yet, with the tick in C on a chip. Throws when the oracle finds a clause broken. */
export function record(
  rig: CoreRig,
  native: NativeCore,
  elf: ElfFile,
  { seed, ticks, counts }: Plan,
): Recorded {
  const random = new Random(seed);
  const sequence = new Sequence(random, rig, counts, seed);
  const words = pack(sequence.settings as unknown as Document);
  const c = new TickC(native, elf, words);
  const inputs = new Uint8Array(rig.core.memory.buffer, INPUTS.address, blockBytes(INPUTS));
  const moments: Moment[] = [];
  let differs: string | undefined;
  twinInC(rig, c, (tick) => {
    if (tick.differs) differs ??= `tick ${moments.length + 1} of ride ${seed}: ${tick.differs}`;
    const said = BLOCKS.flatMap(([name, length]) => [...c.variable(name).subarray(0, length)]);
    moments.push({
      nowUs: sequence.car.raw.nowUs,
      inputs: inputs.slice(),
      said: Uint8Array.from(said),
      log: moments.length % LOG_EVERY === 0 ? c.variable("log_ring").slice() : undefined,
    });
  });
  const broken = sequence.run(random, ticks);
  if (broken) throw new Error(`ride ${seed}, tick ${broken.tick}: ${broken.broken.join("; ")}`);
  return { words, moments, differs };
}

/** The first tick of a ride at which a core that is not started yet says something else than C; undefined when there is none. */
export function firstOther(rig: CoreRig, { words, moments }: Ride): number | undefined {
  rig.start();
  new Device(rig).store(words);
  const bytes = (address: number, length: number): Uint8Array =>
    new Uint8Array(rig.core.memory.buffer, address, length);
  const inputs = bytes(INPUTS.address, blockBytes(INPUTS));
  const outputs = bytes(OUTPUTS.address, blockBytes(OUTPUTS));
  const live = bytes(LIVE.address, blockBytes(LIVE));
  for (const [i, moment] of moments.entries()) {
    inputs.set(moment.inputs);
    rig.core.tick((moment.nowUs % 2 ** 32) | 0);
    const said = moment.said;
    const same =
      Buffer.compare(outputs, said.subarray(0, outputs.length)) === 0 &&
      Buffer.compare(live, said.subarray(outputs.length, outputs.length + live.length)) === 0 &&
      (moment.log === undefined ||
        Buffer.compare(bytes(LOG_RING.address, moment.log.length), moment.log) === 0);
    if (!same) return i;
    rig.keep();
  }
  return undefined;
}
