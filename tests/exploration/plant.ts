// What stands around the explored core: it has no memory of its own but the inputs, so that any letter may follow any other.
import type { CoreRig } from "#host/bench/core/rig.ts";
import {
  type Block,
  INPUTS,
  OUTPUT_BITS,
  OUTPUTS,
  PWM_STEP_US,
  SUPPLY_MV_PER_CODE,
} from "#shared-schema/model/blocks.ts";
import { place } from "#shared-schema/model/layout.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { looksLikeTry } from "../oracle/driver-try.ts";
import type { Raw } from "../oracle/raw.ts";
import { type Letter, supplyCode } from "./alphabet.ts";
import { EXPLORED } from "./explored-settings.ts";

const WORD = 4;
const SHORT = 2;
const LOW_MV = 100;
const SOLENOIDS = 8;
const FIRST_PULSES = 0x5eed_1234;
const BATTERY = ADC_A.indexOf("battery");
const SUPPLY = ADC_A.indexOf("driverSupply");
/** An engine's speed moves by less than this part between two pulses: see the jump of the explored settings. */
const MOVES = 0.1;
const KEEP_ALIVE = 1 << OUTPUT_BITS.keepAlive;
/** How old the last pulse is in every tick. */
export const PULSE_AGE_US = 10;

function places(block: Block, bytes: number): (name: string) => number {
  const offsets = new Map(place(block).map(({ field, offset }) => [field.name, block.address + offset]));
  return (name) => {
    const at = offsets.get(name);
    if (at === undefined) throw new Error(`no field ${name}`);
    return at / bytes;
  };
}
const [inWord, inShort] = [places(INPUTS, WORD), places(INPUTS, SHORT)];
const [outWord, outShort] = [places(OUTPUTS, WORD), places(OUTPUTS, SHORT)];
const ADC = { a: inShort("adcA"), b: inShort("adcB") } as const;
const SHORTS = {
  pins: inShort("solenoidPins"),
  missing: inShort("adcMissing"),
  rounds: inShort("adcRounds"),
  phase: inShort("phase"),
} as const;
const OUT = {
  pulse: outShort("pulse"),
  top: outShort("top"),
  flags: outWord("flags"),
  runs: outWord("runs"),
} as const;
const STAGES = 4;
const WORDS = {
  switches: inWord("switches"),
  armCuts: inWord("armCuts"),
  engine: inWord("enginePulses"),
  road: inWord("roadPulses"),
} as const;

/** `rpm` is the engine's own speed, whatever was read for it. */
type Inputs = Pick<Raw, "nowUs" | "switches" | "armCuts" | "engine" | "road"> & { rpm: number };

/** The speed that an engine has one pulse later on its way to a letter's. */
export function nextRpm(rpm: number, letter: Letter, pulse: number): number {
  const wanted = letter.rpm(pulse);
  if (letter.jumps || rpm === 0 || wanted === 0) return wanted;
  return Math.min(rpm * (1 + MOVES), Math.max(rpm * (1 - MOVES), wanted));
}

/** Writes the inputs of one core. */
export class Plant {
  /** What is not in the core's memory, or not with its full time: the converters' codes are. */
  inputs: Inputs = {
    ...{ nowUs: 0, switches: 0, armCuts: 0, rpm: 0 },
    engine: { count: FIRST_PULSES, edgeUs: 0, periodUs: 0 },
    road: { count: 0, edgeUs: 0, periodUs: 0 },
  };
  private readonly words: Uint32Array;
  private readonly shorts: Uint16Array;

  constructor(rig: CoreRig) {
    this.words = new Uint32Array(rig.core.memory.buffer);
    this.shorts = new Uint16Array(rig.core.memory.buffer);
  }

  save(): Inputs {
    const { inputs } = this;
    return { ...inputs, engine: { ...inputs.engine }, road: { ...inputs.road } };
  }

  restore(inputs: Inputs): void {
    this.inputs = { ...inputs, engine: { ...inputs.engine }, road: { ...inputs.road } };
  }

  /** Width that is commanded for a solenoid, in pin order. */
  width(n: number): number {
    return this.shorts[OUT.pulse + n]!;
  }

  widths(): number[] {
    return Array.from({ length: SOLENOIDS }, (_, n) => this.width(n));
  }

  /** Does a stage flow, be it in a shut period of its pattern? */
  fed(s: number): boolean {
    return ((this.words[OUT.runs]! >> s) & 1) === 1;
  }

  /** Is the relay held? */
  get held(): boolean {
    return (this.words[OUT.flags]! & KEEP_ALIVE) !== 0;
  }

  /** Lets `us` go by; `first` in the first tick of a letter. */
  pass(letter: Letter, us: number, first: boolean): void {
    const { inputs } = this;
    inputs.nowUs += us;
    if ((inputs.switches ^ letter.switches) & 1) inputs.armCuts++;
    if (letter.cut && first) inputs.armCuts++;
    inputs.switches = letter.switches;
    const { engine, road } = EXPLORED;
    const rpm = nextRpm(inputs.rpm, letter, inputs.engine.count);
    if (!letter.jumps && rpm > 0) inputs.rpm = rpm;
    const deciKmh = letter.deciKmh(inputs.road.count);
    pulse(inputs.engine, inputs.nowUs, (rpm * engine.pulsesHalfPulses) / 120e6);
    pulse(inputs.road, inputs.nowUs, (deciKmh * road!.pulsesPerKm) / 3.6e10);
    this.write(letter);
    if (letter.adcRuns) this.convert(letter);
  }

  private write({ adcMissing }: Letter): void {
    const { inputs, words } = this;
    words[WORDS.switches] = inputs.switches;
    words[WORDS.armCuts] = inputs.armCuts;
    this.writeTrain(WORDS.engine, inputs.engine);
    this.writeTrain(WORDS.road, inputs.road);
    this.shorts[SHORTS.missing] = adcMissing;
    const period = this.shorts[OUT.top]! + 1;
    for (let s = 0; s < STAGES; s++)
      this.shorts[SHORTS.phase + s] = Math.floor(inputs.nowUs / PWM_STEP_US) % period;
  }

  private writeTrain(at: number, train: Raw["engine"]): void {
    this.words[at] = train.count;
    this.words[at + 1] = train.edgeUs;
    this.words[at + 2] = train.periodUs;
  }

  private convert(letter: Letter): void {
    const { shorts, held } = this;
    const on = letter.relay === "welded" || (held && letter.relay === "sound");
    const supplyMv = on ? letter.adcA[BATTERY]! * SUPPLY_MV_PER_CODE : 0;
    shorts.set(letter.adcA, ADC.a);
    if (letter.adcA[SUPPLY] === 0) shorts[ADC.a + SUPPLY] = supplyCode(supplyMv);
    let pins = 0;
    for (let n = 0; n < SOLENOIDS; n++) {
      const tried = looksLikeTry(this.widths());
      const high = (letter.sampledHigh || tried) && this.width(n) > 0;
      if (high) pins |= 1 << n;
      shorts[ADC.b + n] = supplyCode(letter.drainsMv.get(n) ?? (high ? LOW_MV : supplyMv));
    }
    shorts[SHORTS.pins] = pins;
    shorts[SHORTS.rounds]!++;
  }
}

/** A pulse in every tick, with the period of its speed: what the speed is, not how often it is seen. */
function pulse(train: Raw["engine"], nowUs: number, perUs: number): void {
  if (perUs === 0) return;
  train.count++;
  train.edgeUs = nowUs - PULSE_AGE_US;
  train.periodUs = Math.round(1 / perUs);
}
