// A car in front of a core rig: physical values go in, raw inputs are written, the core ticks. Time never wraps here, only in the core.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { LIVE } from "#shared-schema/link/columns.ts";
import {
  INPUTS,
  OUTPUT_BITS,
  OUTPUTS,
  SENSOR_UV_PER_CODE,
  SUPPLY_MV_PER_CODE,
  SWITCH_BITS,
} from "#shared-schema/model/blocks.ts";
import { place } from "#shared-schema/model/layout.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { looksLikeTry } from "./driver-try.ts";
import { PulseTrain } from "./pulse-train.ts";
import { type PinEdge, Slice } from "./pwm.ts";
import type { Raw } from "./raw.ts";
import type { Settings } from "./settings.ts";
import { Wiring } from "./wiring.ts";

export type Switch = keyof typeof SWITCH_BITS;

/** What the senders of a car say. Rates are of this moment; voltages are those at the connectors. */
export interface Point {
  rpm: number;
  deciKmh: number;
  throttleMv: number;
  manifoldMv: number;
  bottleMv: number;
  fuelMv: number;
  lambdaMv: number;
  coolantMv: number;
  batteryMv: number;
}

function offsets(block: typeof INPUTS): Record<string, number> {
  return Object.fromEntries(place(block).map(({ field, offset }) => [field.name, block.address + offset]));
}
const IN = offsets(INPUTS);
const OUT = offsets(OUTPUTS);
const NOW = offsets(LIVE);
const WRAP = 2 ** 32;
const BATTERY = ADC_A.indexOf("battery");
const COOLANT = ADC_A.indexOf("coolant");
const SUPPLY = ADC_A.indexOf("driverSupply");
const PINS = [0, 1, 2, 3, 4, 5, 6, 7] as const;
const STAGES = [0, 1, 2, 3] as const;

/** A car and its controller. Change `point`, `switches` and the faults, then `tick`. */
export class Car {
  readonly rig: CoreRig;
  readonly raw: Raw;
  point: Point;
  /** Codes that a fault puts in the place of what the sensors say, by channel of ADC A. */
  readonly stuckCodes = new Map<number, number>();
  /** The converters have stopped: codes and rounds stay as they are. */
  adcFrozen = false;
  engineWireCut = false;
  readonly wiring = new Wiring();
  /** What the solenoid pins did between the last two ticks, each pin in order of time. */
  edges: readonly PinEdge[] = [];
  private readonly slices = STAGES.map((stage) => new Slice(stage));
  private readonly engine = new PulseTrain();
  private readonly road = new PulseTrain();
  private readonly settings: Settings;
  private readonly u32: Uint32Array;
  private readonly u16: Uint16Array;
  private readonly u8: Uint8Array;

  constructor(rig: CoreRig, settings: Settings, point: Point, nowUs: number) {
    this.rig = rig;
    this.settings = settings;
    this.point = point;
    const { buffer } = rig.core.memory;
    this.u32 = new Uint32Array(buffer);
    this.u16 = new Uint16Array(buffer);
    this.u8 = new Uint8Array(buffer);
    this.engine.prime(nowUs, this.engineRate());
    this.road.prime(nowUs, this.roadRate());
    this.raw = {
      nowUs,
      switches: 0,
      armCuts: 0,
      engine: this.engine.pulses,
      road: this.road.pulses,
      adcA: new Array(8).fill(0),
      adcB: new Array(8).fill(0),
      solenoidPins: 0,
      adcMissing: 0,
      adcRounds: 0,
    };
  }

  private engineRate(): number {
    return this.engineWireCut ? 0 : (this.point.rpm * this.settings.engine.pulsesHalfPulses) / 120e6;
  }

  private roadRate(): number {
    return (this.point.deciKmh * (this.settings.road?.pulsesPerKm ?? 0)) / 3.6e10;
  }

  /** Moves a switch. An edge of the arm switch makes the board layer cut the pins and count. */
  set(name: Switch, closed: boolean): void {
    const bit = 1 << SWITCH_BITS[name];
    const before = (this.raw.switches & bit) !== 0;
    this.raw.switches = closed ? this.raw.switches | bit : this.raw.switches & ~bit;
    if (name === "arm" && before !== closed) this.raw.armCuts++;
  }

  /** Closes the throttle by every way that is fitted. Returns what opens it again to where its sensor was. */
  lift(): () => void {
    const { throttleMv } = this.point;
    this.set("throttle", false);
    this.point.throttleMv = this.settings.throttle.position?.closedMv ?? throttleMv;
    return () => {
      this.set("throttle", true);
      this.point.throttleMv = throttleMv;
    };
  }

  /** An extra pulse on the engine wire at `atUs`, as noise makes it. */
  spuriousPulse(atUs: number): void {
    this.engine.edge(1, atUs, 0);
  }

  /** Pulses were missed, as the board layer tells after each work in flash. */
  missPulses(): void {
    this.engine.forget();
    this.road.forget();
  }

  /** Lets `us` go by and runs one tick. */
  tick(us = 1000): void {
    const { raw } = this;
    const from = raw.nowUs;
    raw.nowUs += us;
    this.engine.advance(from, raw.nowUs, this.engineRate());
    this.road.advance(from, raw.nowUs, this.roadRate());
    for (const slice of this.slices) slice.advance(raw.nowUs);
    if (!this.adcFrozen) raw.adcRounds++;
    if (!this.adcFrozen) this.convert(us);
    this.write();
    this.rig.core.tick((raw.nowUs % WRAP) | 0);
    this.command();
  }

  /** Hands the core's outputs to the pins. */
  private command(): void {
    const { slices, raw, top } = this;
    for (const s of STAGES)
      slices[s]!.command(raw.nowUs, this.fed(s), [this.width(2 * s), this.width(2 * s + 1)], top + 1);
    this.edges = slices.flatMap((slice) => slice.take());
  }

  private convert(us: number): void {
    const { raw, point, wiring } = this;
    const keepAlive = (this.outputFlags & (1 << OUTPUT_BITS.keepAlive)) !== 0;
    const tried = looksLikeTry(this.pins());
    const levels = PINS.map((n) => (tried ? this.pin(n) > 0 : this.level(n)) && !((this.gaps >> n) & 1));
    wiring.pass(us, keepAlive, point.batteryMv, levels);
    const sensors = [point.throttleMv, point.manifoldMv, point.bottleMv, point.fuelMv, point.lambdaMv];
    sensors.forEach((mv, channel) => {
      raw.adcA[channel] = code((mv * 1000) / SENSOR_UV_PER_CODE);
    });
    raw.adcA[BATTERY] = code(point.batteryMv / SUPPLY_MV_PER_CODE);
    raw.adcA[COOLANT] = code((point.coolantMv * 1000) / SENSOR_UV_PER_CODE);
    raw.adcA[SUPPLY] = code(wiring.supplyMv / SUPPLY_MV_PER_CODE);
    wiring.drainsMv.forEach((mv, n) => {
      raw.adcB[n] = code(mv / SUPPLY_MV_PER_CODE);
    });
    raw.solenoidPins = wiring.pins;
    for (const [channel, stuck] of this.stuckCodes) raw.adcA[channel] = stuck;
  }

  private write(): void {
    const { raw, u16 } = this;
    this.put32("switches", raw.switches);
    this.put32("armCuts", raw.armCuts);
    this.put32("enginePulses", raw.engine.count);
    this.put32("engineEdgeUs", raw.engine.edgeUs);
    this.put32("enginePeriodUs", raw.engine.periodUs);
    this.put32("roadPulses", raw.road.count);
    this.put32("roadEdgeUs", raw.road.edgeUs);
    this.put32("roadPeriodUs", raw.road.periodUs);
    for (const s of STAGES) u16[(IN.phase! >> 1) + s] = this.slices[s]!.phase(raw.nowUs);
    u16.set(raw.adcA, IN.adcA! >> 1);
    u16.set(raw.adcB, IN.adcB! >> 1);
    u16[IN.solenoidPins! >> 1] = raw.solenoidPins;
    u16[IN.adcMissing! >> 1] = raw.adcMissing;
    u16[IN.adcRounds! >> 1] = raw.adcRounds;
  }

  private put32(name: string, value: number): void {
    this.u32[IN[name]! >> 2] = value % WRAP;
  }

  private width(index: number): number {
    return this.u16[(OUT.pulse! >> 1) + index]!;
  }

  /** Bits of the stages whose pins are driven: none while the board holds the pins after a cut. */
  get runs(): number {
    const held = this.u32[OUT.ackedCuts! >> 2] !== this.raw.armCuts % WRAP;
    return held ? 0 : this.u32[OUT.runs! >> 2]!;
  }

  /** Is a stage's flow on, be it in a period of its pattern in which both valves are shut? */
  fed(stage: number): boolean {
    return ((this.runs >> stage) & 1) === 1;
  }

  /** Width in counter steps of the pulse that the pin makes in its next period; 0 while its stage has no flow. */
  pin(index: number): number {
    return this.fed(index >> 1) ? this.width(index) : 0;
  }

  pins(): number[] {
    return PINS.map((i) => this.pin(i));
  }

  /** The same, with the least width in the shut periods of a pattern: such a stage counts as fed. */
  fedPins(): number[] {
    if (looksLikeTry(this.pins())) return this.pins();
    return PINS.map((i) => {
      const shut = this.fed(i >> 1) && this.width(i & ~1) === 0 && (i % 2 === 0 || this.width(i) === 0);
      return shut ? 1 : this.pin(i);
    });
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

function code(value: number): number {
  return Math.min(4095, Math.max(0, Math.round(value)));
}
