// The closed loop: driver, car, senders, controller, solenoids and supply, one millisecond after the other.
import type { CarData } from "#host/car/car.ts";
import type { Driver } from "#host/car/driver.ts";
import { createMotion, type Motion } from "#host/car/motion.ts";
import { createSupply, type Supply } from "#host/car/supply.ts";
import type { SupplyData } from "#host/car/supply-data.ts";
import { TICK_US } from "#shared-schema/model/blocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { type Connectors, openConnectors, switchBits } from "./connectors.ts";
import type { Controller } from "./controller.ts";
import { type Movement, ScriptReader } from "./script.ts";
import { type Measured, Senders, ThrottleSwitch } from "./senders.ts";

/** A car as it is driven. */
export interface DrivenCar {
  readonly car: CarData;
  readonly driver: Driver;
  readonly supply: SupplyData;
}

/** One loop. `disturb` may change what the connectors show, before the controller sees it. */
export interface LoopOptions extends DrivenCar {
  readonly settings: Document;
  readonly controller: Controller;
  readonly script: readonly Movement[];
  readonly disturb?: ((connectors: Connectors) => void) | undefined;
}

const STEP_S = TICK_US / 1e6;
/** Mixture of an engine with nitrous and its fuel; it is not modelled. */
const LAMBDA = 0.82;

/** Call `step` again and again; look at the fields in between. */
export class ClosedLoop {
  readonly motion: Motion;
  readonly supply: Supply;
  readonly controller: Controller;
  readonly reader: ScriptReader;
  readonly senders: Senders;
  /** Steps so far; each is a tick. */
  steps = 0;
  private readonly throttleSwitch: ThrottleSwitch;
  private readonly connectors = openConnectors();
  private readonly measured: Measured;
  private readonly disturb: ((connectors: Connectors) => void) | undefined;

  constructor(options: LoopOptions) {
    this.motion = createMotion(options.car, options.driver);
    this.supply = createSupply(options.supply);
    this.controller = options.controller;
    this.reader = new ScriptReader(options.script);
    this.senders = new Senders(options.settings);
    this.throttleSwitch = new ThrottleSwitch(options.settings);
    this.disturb = options.disturb;
    this.measured = {
      ...{ engineRpm: 0, speedMS: 0, wheelMS: 0, pedal: 0, manifoldPa: 0 },
      ...{ bottlePa: 0, fuelPa: 0, lambda: LAMBDA, batteryV: 0 },
    };
    this.sense();
  }

  /** Time since the loop began, s. */
  get nowS(): number {
    return this.steps * STEP_S;
  }

  /** Road speed as the sender has it, m/s. */
  get roadMS(): number {
    return this.senders.roadMS(this.measured);
  }

  /** One millisecond: the controller with what it sees now, then the car with what the solenoids did. */
  step(): void {
    const { motion, supply, controller, connectors, reader } = this;
    reader.moveTo(this.nowS);
    motion.input.pedal = reader.controls.pedal;
    motion.input.hold = reader.controls.hold;
    this.senders.put(this.measured, connectors);
    connectors.switches = switchBits(reader.controls, this.throttleSwitch.at(motion.pedal));
    this.disturb?.(connectors);
    controller.run(connectors, TICK_US);
    for (let s = 0; s < supply.stages.length; s++) {
      const stage = supply.stages[s]!;
      stage.nitrousOn = controller.on[2 * s]!;
      stage.fuelOn = controller.on[2 * s + 1]!;
    }
    supply.step(STEP_S);
    motion.input.addedW = supply.addedW;
    motion.step(STEP_S);
    this.steps++;
    this.sense();
  }

  private sense(): void {
    const { measured, motion, supply } = this;
    measured.engineRpm = motion.engineRpm;
    measured.speedMS = motion.speedMS;
    measured.wheelMS = motion.wheelMS;
    measured.pedal = motion.pedal;
    measured.manifoldPa = motion.manifoldPa;
    measured.bottlePa = supply.bottlePa;
    measured.fuelPa = supply.fuelPa;
    measured.batteryV = supply.batteryV;
  }
}
