// In the place of the board layer before a core rig, with all that is wired to it. Time never wraps here, only in the core.

import { LIVE } from "#shared-schema/link/columns.ts";
import {
  INPUTS,
  OUTPUT_BITS,
  OUTPUTS,
  PWM_STEP_US,
  SENSOR_UV_PER_CODE,
  SUPPLY_MV_PER_CODE,
  SWITCH_BITS,
  TICK_US,
  TRY_US,
} from "#shared-schema/model/blocks.ts";
import { place } from "#shared-schema/model/layout.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { PulseTrain } from "./pulse-train.ts";
import type { Raw } from "./raw.ts";
import type { CoreRig } from "./rig.ts";
import { type PinEdge, Slice } from "./slice.ts";
import { Wiring } from "./wiring.ts";

export type Switch = keyof typeof SWITCH_BITS;

function offsets(block: typeof INPUTS): Record<string, number> {
  return Object.fromEntries(place(block).map(({ field, offset }) => [field.name, block.address + offset]));
}
const IN = offsets(INPUTS);
const OUT = offsets(OUTPUTS);
const NOW = offsets(LIVE);
const [ADC_A_AT, ADC_B_AT] = [IN.adcA! >> 1, IN.adcB! >> 1];
const [PULSE_AT, RUNS_AT, ACKED_AT] = [OUT.pulse! >> 1, OUT.runs! >> 2, OUT.ackedCuts! >> 2];
const WRAP = 2 ** 32;
const BATTERY = ADC_A.indexOf("battery");
const SUPPLY = ADC_A.indexOf("driverSupply");
const CHANNELS = ADC_A.length;
const PINS = 8;
const STAGES = [0, 1, 2, 3] as const;
/** The longest pulse that a test of one driver makes, counter steps. */
const MOST_TRY_STEPS = TRY_US / PWM_STEP_US;

/** Switches, senders and sensors go in at the connectors, one tick at a time; what the solenoid pins did comes out. */
export class BoardLayer {
  readonly rig: CoreRig;
  readonly raw: Raw;
  readonly wiring: Wiring;
  /** Pulses a microsecond at the two speed inputs. */
  engineRate = 0;
  roadRate = 0;
  batteryMv = 0;
  /** Voltages at the connectors by channel of ADC A, mV; those of battery and supply are not read from here. */
  readonly sensorsMv: number[] = new Array(CHANNELS).fill(0);
  /** Codes that a fault puts in the place of what the sensors say, by channel of ADC A. */
  readonly stuckCodes = new Map<number, number>();
  /** The converters have stopped: codes and rounds stay as they are. */
  adcFrozen = false;
  /** What the solenoid pins did between the last two ticks, each pin in order of time. */
  edges: readonly PinEdge[] = [];
  protected readonly engine = new PulseTrain();
  protected readonly road = new PulseTrain();
  private readonly slices = STAGES.map((stage) => new Slice(stage));
  private readonly u32: Uint32Array;
  private readonly u16: Uint16Array;
  private readonly u8: Uint8Array;

  constructor(rig: CoreRig, nowUs: number, wiring = new Wiring()) {
    this.rig = rig;
    this.wiring = wiring;
    const { buffer } = rig.core.memory;
    this.u32 = new Uint32Array(buffer);
    this.u16 = new Uint16Array(buffer);
    this.u8 = new Uint8Array(buffer);
    this.raw = {
      nowUs,
      switches: 0,
      armCuts: 0,
      engine: this.engine.pulses,
      road: this.road.pulses,
      adcA: new Array(CHANNELS).fill(0),
      adcB: new Array(PINS).fill(0),
      solenoidPins: 0,
      adcMissing: 0,
      adcRounds: 0,
    };
  }

  /** Moves a switch. An edge of the arm switch makes the board layer cut the pins and count. */
  set(name: Switch, closed: boolean): void {
    const bit = 1 << SWITCH_BITS[name];
    const before = (this.raw.switches & bit) !== 0;
    this.raw.switches = closed ? this.raw.switches | bit : this.raw.switches & ~bit;
    if (name !== "arm" || before === closed) return;
    this.raw.armCuts++;
    for (const slice of this.slices) slice.stop(this.raw.nowUs);
  }

  /** Lets `us` go by and runs one tick. */
  tick(us = TICK_US): void {
    const { raw } = this;
    const from = raw.nowUs;
    raw.nowUs += us;
    this.engine.advance(from, raw.nowUs, this.engineRate);
    this.road.advance(from, raw.nowUs, this.roadRate);
    for (const slice of this.slices) slice.advance(raw.nowUs);
    if (!this.adcFrozen) raw.adcRounds++;
    if (!this.adcFrozen) this.convert(us);
    this.write();
    this.rig.core.tick((raw.nowUs % WRAP) | 0);
    this.command();
    this.rig.keep();
  }

  /** Hands the core's outputs to the pins. */
  private command(): void {
    const { slices, raw, top } = this;
    let edges: PinEdge[] | undefined;
    for (const s of STAGES) {
      slices[s]!.command(raw.nowUs, this.fed(s), this.width(2 * s), this.width(2 * s + 1), top + 1);
      const taken = slices[s]!.take();
      if (taken.length > 0) edges = edges ? [...edges, ...taken] : taken;
    }
    this.edges = edges ?? NO_EDGES;
  }

  private convert(us: number): void {
    const { raw, wiring } = this;
    const keepAlive = (this.outputFlags & (1 << OUTPUT_BITS.keepAlive)) !== 0;
    wiring.pass(us, keepAlive, this.batteryMv, this.sampledLevels() & ~this.gaps);
    for (let channel = 0; channel < CHANNELS; channel++)
      raw.adcA[channel] = code((this.sensorsMv[channel]! * 1000) / SENSOR_UV_PER_CODE);
    raw.adcA[BATTERY] = code(this.batteryMv / SUPPLY_MV_PER_CODE);
    raw.adcA[SUPPLY] = code(wiring.supplyMv / SUPPLY_MV_PER_CODE);
    for (let n = 0; n < PINS; n++) raw.adcB[n] = code(wiring.drainsMv[n]! / SUPPLY_MV_PER_CODE);
    raw.solenoidPins = wiring.pins;
    if (this.stuckCodes.size > 0) for (const [channel, stuck] of this.stuckCodes) raw.adcA[channel] = stuck;
  }

  /** Bit n: pin n was high when its drain was sampled; the short pulse that tests a driver is sampled while it lasts. */
  private sampledLevels(): number {
    const tried = this.runs === 0 ? -1 : this.triedPin();
    if (tried >= 0) return 1 << tried;
    let levels = 0;
    for (let n = 0; n < PINS; n++) if (this.level(n)) levels |= 1 << n;
    return levels;
  }

  /** The pin whose driver is being tested: it alone has a pulse, and a short one. -1 for none. */
  private triedPin(): number {
    let tried = -1;
    for (let n = 0; n < PINS; n++) {
      const width = this.pin(n);
      if (width === 0) continue;
      if (tried >= 0 || width > MOST_TRY_STEPS) return -1;
      tried = n;
    }
    return tried;
  }

  private write(): void {
    const { raw, u16 } = this;
    this.put32(IN.switches!, raw.switches);
    this.put32(IN.armCuts!, raw.armCuts);
    this.put32(IN.enginePulses!, raw.engine.count);
    this.put32(IN.engineEdgeUs!, raw.engine.edgeUs);
    this.put32(IN.enginePeriodUs!, raw.engine.periodUs);
    this.put32(IN.roadPulses!, raw.road.count);
    this.put32(IN.roadEdgeUs!, raw.road.edgeUs);
    this.put32(IN.roadPeriodUs!, raw.road.periodUs);
    for (const s of STAGES) u16[(IN.phase! >> 1) + s] = this.slices[s]!.phase(raw.nowUs);
    for (let i = 0; i < CHANNELS; i++) u16[ADC_A_AT + i] = raw.adcA[i]!;
    for (let i = 0; i < PINS; i++) u16[ADC_B_AT + i] = raw.adcB[i]!;
    u16[IN.solenoidPins! >> 1] = raw.solenoidPins;
    u16[IN.adcMissing! >> 1] = raw.adcMissing;
    u16[IN.adcRounds! >> 1] = raw.adcRounds;
  }

  private put32(address: number, value: number): void {
    this.u32[address >> 2] = value % WRAP;
  }

  /** Width in counter steps that the core commands for a solenoid, in pin order. */
  protected width(index: number): number {
    return this.u16[PULSE_AT + index]!;
  }

  /** Bits of the stages whose pins are driven: none while the board holds the pins after a cut. */
  get runs(): number {
    const held = this.u32[ACKED_AT] !== this.raw.armCuts % WRAP;
    return held ? 0 : this.u32[RUNS_AT]!;
  }

  /** Is a stage's flow on, be it in a period of its pattern in which both valves are shut? */
  fed(stage: number): boolean {
    return ((this.runs >> stage) & 1) === 1;
  }

  /** Width in counter steps of the pulse that the pin makes in its next period; 0 while its stage has no flow. */
  pin(index: number): number {
    return this.fed(index >> 1) ? this.width(index) : 0;
  }

  /** Level of a solenoid pin at the last tick. */
  level(pin: number): boolean {
    return this.slices[pin >> 1]!.level((pin & 1) as 0 | 1);
  }

  get top(): number {
    return this.u16[OUT.top! >> 1]!;
  }
  get outputFlags(): number {
    return this.u32[OUT.flags! >> 2]!;
  }
  /** Bit n: solenoid pin n stays low until the next tick. */
  get gaps(): number {
    return this.u32[OUT.gaps! >> 2]!;
  }
  /** What the board layer would keep over a reset. */
  get lockout(): number {
    return this.u32[OUT.lockout! >> 2]!;
  }
  get mode(): number {
    return this.u8[NOW.mode!]!;
  }
  get trip(): number {
    return this.u8[NOW.trip!]!;
  }
  get reasons(): number {
    return this.u32[NOW.reasons! >> 2]!;
  }
  /** Bit s: the core says that stage s + 1 flows. */
  get flowing(): number {
    return this.u8[NOW.flowing!]!;
  }
  sharePermille(stage: number): number {
    return this.u16[(NOW.sharePermille! >> 1) + stage]!;
  }
}

const NO_EDGES: readonly PinEdge[] = [];

function code(value: number): number {
  return Math.min(4095, Math.max(0, Math.round(value)));
}
