// Where the control core keeps what: names and order are read from its source, the place is found by what must lie there.
import { readFileSync } from "node:fs";
import type { CoreRig } from "#host/bench/core/rig.ts";
import { CORE_DATA_ADDRESS, LOG_RING } from "#shared-schema/model/blocks.ts";

const source = ["state.ts", "shaft.ts"]
  .map((file) => readFileSync(new URL(`../../firmware/core/${file}`, import.meta.url), "utf8"))
  .join("\n");
const WORD = 4;

/** The hold-offs that must not hunt, in the core's order. */
const HELD_OFF = ["battery", "fuel", "supply", "bottle"] as const;
export type HeldOff = (typeof HELD_OFF)[number];

/** Word indices by field name, from the start of a class whose fields are all of 32 bits. Throws on any other. */
function fieldsOf(name: string): Map<string, number> {
  const body = source.split(`export class ${name} {\n`)[1]?.split("\n}\n")[0] ?? "";
  const fields = [...body.matchAll(/^ {2}(\w+): (\w+);$/gm)];
  const odd = fields.find(([, , type]) => type !== "u32" && type !== "i32" && type !== "usize");
  if (odd || fields.length === 0) throw new Error(`class ${name} is not made of 32-bit fields`);
  return new Map(fields.map(([, field], i) => [field!, i]));
}

const STATE = fieldsOf("State");

/** Index of a word of `State`. Throws on an unknown name, as all of these do. */
export function stateWord(field: string): number {
  return CORE_DATA_ADDRESS / WORD + known(STATE, field);
}

interface Data {
  readonly name: string;
  readonly bytes: number;
  readonly align: number;
}

const DATA: readonly Data[] = [
  ...source.matchAll(/^(?:export )?const (\w+): usize = memory\.data\((\d+), (\d+)\);$/gm),
].map(([, name, bytes, align]) => ({ name: name!, bytes: Number(bytes), align: Number(align) }));

/** Addresses of the data of state.ts when the first begins at `base`. */
function placed(base: number): Map<string, number> {
  let at = base;
  return new Map(
    DATA.map(({ name, bytes, align }) => {
      const here = Math.ceil(at / align) * align;
      at = here + bytes;
      return [name, here];
    }),
  );
}

/** Reads single words of one core by their names in the source. */
export class CoreMap {
  readonly words: Uint32Array;
  private readonly stage = fieldsOf("Stage");
  private readonly shaft = fieldsOf("Shaft");
  private readonly hold = fieldsOf("Hold");
  private readonly data: ReadonlyMap<string, number>;

  /**
   * `rig` must have ticked with settings in force, `block` their bytes, and `enginePulses` the last count of engine pulses,
   * a number that stands nowhere else. Throws when that leaves more than one place, or none.
   */
  constructor(rig: CoreRig, block: Uint8Array, enginePulses: number) {
    this.words = new Uint32Array(rig.core.memory.buffer, 0, LOG_RING.address / WORD);
    const bytes = Buffer.from(rig.core.memory.buffer, 0, LOG_RING.address);
    const active = bytes.indexOf(block, CORE_DATA_ADDRESS);
    const fits = (data: Map<string, number>): boolean =>
      data.get("ACTIVE") === active &&
      this.words[data.get("SHAFTS")! / WORD + this.shaft.get("pulses")!] === enginePulses;
    const bases = Array.from({ length: 0x200 }, (_, i) => placed(CORE_DATA_ADDRESS + WORD * i)).filter(fits);
    if (bases.length !== 1) throw new Error(`the core's data fits in ${bases.length} places`);
    this.data = bases[0]!;
  }

  /** Index of a word of a stage, from 0. */
  ofStage(s: number, field: string): number {
    return known(this.data, "STAGE_STATES") / WORD + s * this.stage.size + known(this.stage, field);
  }

  /** Index of a word of a train of pulses. */
  ofShaft(which: "engine" | "road", field: string): number {
    const first = known(this.data, "SHAFTS") / WORD + (which === "road" ? this.shaft.size : 0);
    return first + known(this.shaft, field);
  }

  /** Index of a word of a hold-off that must not hunt. */
  ofHold(which: HeldOff, field: string): number {
    const first = known(this.data, "HOLDS") / WORD + HELD_OFF.indexOf(which) * this.hold.size;
    return first + known(this.hold, field);
  }

  /** Address of the counters of what drivers and supply are doubted by. */
  get driverDoubts(): number {
    return known(this.data, "DRIVER_DOUBTS");
  }
}

function known(map: ReadonlyMap<string, number>, name: string): number {
  const at = map.get(name);
  if (at === undefined) throw new Error(`the core has no ${name}`);
  return at;
}
