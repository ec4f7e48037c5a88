/** The controller as a planned run meets it: when it lets nitrous flow and how much, with its waits, its rise limit and its window; pulses are left out. */
import type { Nitrous } from "#host/car/settled/run.ts";
import { CLEAR_US } from "#shared-schema/model/modes.ts";
import type { StageWindow } from "../ramp/stage-window.ts";
import { deliveredShare, type ValveRange } from "../ramp/valve.ts";

/** What a plan writes into its settings: fastest rise of a share, and how long the retard request goes ahead of the flow. */
export const RISE_PERCENT_PER_S = 1000;
export const RETARD_LEAD_MS = 100;

/** The core keeps what was asked for in slots, and a stage has its turn every 4 ms (firmware/core/lead.ts and flow.ts). */
const SLOT_MS = 8;
const ROUND_S = 0.004;
const LEAD_S = ((Math.ceil(RETARD_LEAD_MS / SLOT_MS) + 1) * SLOT_MS) / 1000;
const CLEAR_S = CLEAR_US / 1e6 + ROUND_S / 2;
/** Pedal at which a full-throttle switch closes, and opens again (common practice, no source). */
const [CLOSES, OPENS] = [0.95, 0.9];

/** What the controller sees of a car: road speed as its sender has it, m/s, time since the launch switch, s, pedal 0 to 1. */
export interface Seen {
  readonly rpm: number;
  readonly roadMS: number;
  readonly launchS: number;
  readonly pedal: number;
  /** Absolute. */
  readonly manifoldPa: number;
}

/** Share, 0 to 1, that the ramp of each stage asks for; writes into `shares`. */
export type Ask = (seen: Seen, shares: Float64Array) => void;

/** What a plan writes into its settings for stages that go off: how far road speed, m/s, and manifold pressure, Pa, must come back. */
export const OFF_HYSTERESIS = { speedMS: 2 / 3.6, manifoldPa: 10e3 } as const;

/** A window with its hysteresis. */
class Window {
  inside = false;
  private readonly open: number;
  private readonly close: number;
  private readonly hysteresis: number;

  constructor(open: number, close: number, hysteresis: number) {
    this.open = open;
    this.close = close;
    this.hysteresis = hysteresis;
  }

  follow(value: number): boolean {
    const slack = this.inside ? 0 : this.hysteresis;
    this.inside = value >= this.open - this.hysteresis + slack && value <= this.close - slack;
    return this.inside;
  }
}

const UP_TO = Number.NEGATIVE_INFINITY;
const NO_END = Number.POSITIVE_INFINITY;

/** A stage's own windows on engine speed, road speed and manifold pressure. */
class StageWindows {
  inside = false;
  private readonly rpm: Window;
  private readonly speed: Window;
  private readonly manifold: Window;

  constructor(
    { openRpm, offMS = NO_END, offPa = NO_END }: StageWindow,
    closeRpm: number,
    hysteresisRpm: number,
  ) {
    this.rpm = new Window(openRpm, closeRpm, hysteresisRpm);
    this.speed = new Window(UP_TO, offMS, OFF_HYSTERESIS.speedMS);
    this.manifold = new Window(UP_TO, offPa, OFF_HYSTERESIS.manifoldPa);
  }

  follow({ rpm, roadMS, manifoldPa }: Seen): void {
    const [engine, speed] = [this.rpm.follow(rpm), this.speed.follow(roadMS)];
    this.inside = this.manifold.follow(manifoldPa) && engine && speed;
  }
}

/** A controller with a window of the system and one of each stage. Call `step` for every step of a run, then read the fields. */
export class ControllerModel {
  /** Nothing holds the flow off. */
  open = false;
  /** What each stage delivers now, as a share of its full flow. */
  readonly delivered: Float64Array;
  private readonly asked: Float64Array;
  private readonly wanted: Float64Array;
  private readonly past: Float64Array;
  private readonly slots: number;
  private readonly waits: number;
  private readonly ask: Ask;
  private readonly valves: ValveRange;
  private readonly window: Window;
  private readonly own: readonly StageWindows[];
  /** Steps since each stage may flow. */
  private readonly since: Int32Array;
  private wide = false;
  private steps = 0;

  /** `dtS`: length of a step; `openingS`: what a valve takes to open. */
  constructor({ window, hysteresisRpm, valves, openingS, ask, stages }: ControllerData, dtS: number) {
    const { openRpm, closeRpm } = window;
    this.window = new Window(openRpm, closeRpm, hysteresisRpm);
    this.own = stages.map((stage) => new StageWindows(stage, closeRpm, hysteresisRpm));
    this.since = new Int32Array(stages.length);
    this.valves = valves;
    this.ask = ask;
    this.slots = Math.round(LEAD_S / dtS);
    this.waits = Math.round(CLEAR_S / dtS);
    this.opens = Math.round(openingS / dtS);
    this.asked = new Float64Array(stages.length);
    this.wanted = new Float64Array(stages.length);
    this.delivered = new Float64Array(stages.length);
    this.past = new Float64Array(stages.length * this.slots);
    this.most = (RISE_PERCENT_PER_S / 100) * dtS;
  }
  private readonly opens: number;
  private readonly most: number;

  step(seen: Seen): void {
    this.wide = seen.pedal >= CLOSES || (this.wide && seen.pedal >= OPENS);
    const inside = this.window.follow(seen.rpm);
    for (const windows of this.own) windows.follow(seen);
    this.open = this.wide && inside;
    if (!this.open) {
      this.close();
      return;
    }
    this.steps += 1;
    if (this.steps <= this.waits) return;
    this.ask(seen, this.wanted);
    const slot = this.steps % this.slots;
    for (let s = 0; s < this.asked.length; s++) {
      if (this.own[s]!.inside) this.passStage(s, slot);
      else this.closeStage(s);
    }
  }

  private close(): void {
    if (this.steps === 0) return;
    this.steps = 0;
    for (let s = 0; s < this.asked.length; s++) this.closeStage(s);
  }

  private closeStage(s: number): void {
    this.since[s] = 0;
    this.asked[s] = 0;
    this.delivered[s] = 0;
  }

  /** What flows is the lower of what is asked for now and a lead ago, as the valves make it. */
  private passStage(s: number, slot: number): void {
    const at = s * this.slots + slot;
    this.since[s]! += 1;
    const before = this.since[s]! > this.slots + this.opens ? this.past[at]! : 0;
    const asked = Math.min(this.wanted[s]!, this.asked[s]! + this.most);
    this.asked[s] = asked;
    this.past[at] = asked;
    this.delivered[s] = deliveredShare(this.valves, Math.min(asked, before));
  }
}

/** A planned controller. */
export interface ControllerData {
  readonly window: Nitrous;
  /** Each stage with its own window, inside that of the system. */
  readonly stages: readonly StageWindow[];
  readonly hysteresisRpm: number;
  readonly valves: ValveRange;
  readonly openingS: number;
  readonly ask: Ask;
}
