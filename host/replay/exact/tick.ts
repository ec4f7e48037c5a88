// What the control core reads in one tick: its time and the inputs block, but for what only the live values and the link look at.
import { type Block, INPUTS } from "#shared-schema/model/blocks.ts";
import { FIELD_BYTES, place } from "#shared-schema/model/layout.ts";

/** A pulse input. */
export interface Train {
  pulses: number;
  edgeUs: number;
  periodUs: number;
}

/** One tick's inputs, as they are in memory. */
export interface Tick {
  nowUs: number;
  switches: number;
  armCuts: number;
  readonly engine: Train;
  readonly road: Train;
  readonly adcA: number[];
  readonly adcB: number[];
  solenoidPins: number;
  adcMissing: number;
  adcRounds: number;
  readonly phase: number[];
}

/** Reads numbers out of a block in a memory, and writes them. */
class Fields {
  private readonly places: ReadonlyMap<string, { at: number; bytes: number }>;

  constructor(block: Block) {
    this.places = new Map(
      place(block).map(({ field, offset }) => [
        field.name,
        { at: block.address + offset, bytes: FIELD_BYTES[field.type] },
      ]),
    );
  }

  get(view: DataView, name: string, index = 0): number {
    const { at, bytes } = this.places.get(name)!;
    return bytes === 4 ? view.getUint32(at + 4 * index, true) : view.getUint16(at + 2 * index, true);
  }

  put(view: DataView, name: string, value: number, index = 0): void {
    const { at, bytes } = this.places.get(name)!;
    if (bytes === 4) view.setUint32(at + 4 * index, value, true);
    else view.setUint16(at + 2 * index, value, true);
  }
}

const IN = new Fields(INPUTS);
const CODES = [0, 1, 2, 3, 4, 5, 6, 7] as const;
const STAGES = [0, 1, 2, 3] as const;

const trainIn = (view: DataView, name: "engine" | "road"): Train => ({
  pulses: IN.get(view, `${name}Pulses`),
  edgeUs: IN.get(view, `${name}EdgeUs`),
  periodUs: IN.get(view, `${name}PeriodUs`),
});

/** The tick that a core is about to make: its inputs in the core's memory. */
export function tickIn(view: DataView, nowUs: number): Tick {
  return {
    nowUs: nowUs >>> 0,
    switches: IN.get(view, "switches"),
    armCuts: IN.get(view, "armCuts"),
    engine: trainIn(view, "engine"),
    road: trainIn(view, "road"),
    adcA: CODES.map((n) => IN.get(view, "adcA", n)),
    adcB: CODES.map((n) => IN.get(view, "adcB", n)),
    solenoidPins: IN.get(view, "solenoidPins"),
    adcMissing: IN.get(view, "adcMissing"),
    adcRounds: IN.get(view, "adcRounds"),
    phase: STAGES.map((s) => IN.get(view, "phase", s)),
  };
}

function putTrain(view: DataView, name: "engine" | "road", { pulses, edgeUs, periodUs }: Train): void {
  IN.put(view, `${name}Pulses`, pulses);
  IN.put(view, `${name}EdgeUs`, edgeUs);
  IN.put(view, `${name}PeriodUs`, periodUs);
}

/** Puts a tick's inputs into a core's memory. */
export function putTick(view: DataView, tick: Tick): void {
  IN.put(view, "switches", tick.switches);
  IN.put(view, "armCuts", tick.armCuts);
  putTrain(view, "engine", tick.engine);
  putTrain(view, "road", tick.road);
  for (const n of CODES) {
    IN.put(view, "adcA", tick.adcA[n]!, n);
    IN.put(view, "adcB", tick.adcB[n]!, n);
  }
  IN.put(view, "solenoidPins", tick.solenoidPins);
  IN.put(view, "adcMissing", tick.adcMissing);
  IN.put(view, "adcRounds", tick.adcRounds);
  for (const s of STAGES) IN.put(view, "phase", tick.phase[s]!, s);
}

/** The same with nothing shared. */
export const copyOf = (tick: Tick): Tick => ({
  ...tick,
  engine: { ...tick.engine },
  road: { ...tick.road },
  adcA: [...tick.adcA],
  adcB: [...tick.adcB],
  phase: [...tick.phase],
});
