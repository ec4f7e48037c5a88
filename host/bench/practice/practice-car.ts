// The car at a practice board: driver, senders and supply as in a closed loop, but anything of it can be held by hand.
import { createMotion, type Motion } from "#host/car/motion.ts";
import { createSupply, type Supply } from "#host/car/supply.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import type { DrivenCar } from "../loop/closed-loop.ts";
import { type Connectors, openConnectors, switchBits } from "../loop/connectors.ts";
import { type Controls, RELEASED } from "../loop/script.ts";
import { type Measured, Senders, ThrottleSwitch } from "../loop/senders.ts";
import { damage, type Wire } from "./wires.ts";

/** Values that a hand can hold, in the unit of `Measured`; `coolant` in mV, `road` in m/s. */
export type Held = "engine" | "road" | "manifold" | "bottle" | "fuel" | "mixture" | "coolant" | "battery";

/** Mixture of an engine with nitrous and its fuel; it is not modelled. */
const LAMBDA = 0.82;
/** A hand moves the engine's speed no faster than an engine could, rpm/s. */
const HAND_RPM_S = 8000;
const COOLANT = ADC_A.indexOf("coolant");

/**
 * Put back at the line, the engine has stood for so long before it idles again, s: otherwise its speed would seem to jump as
 * no engine's can, and the controller would hold that against it.
 */
export const STOOD_S = 1.3;

/** Call `connectors` before a step of the board and `step` after it. */
export class PracticeCar {
  controls: Controls = RELEASED;
  readonly held = new Map<Held, number>();
  readonly wires = new Map<string, Wire>();
  motion!: Motion;
  supply!: Supply;
  private standsS = 0;
  /** Engine speed while a hand holds it, and until it is the car's own again. */
  private handRpm: number | undefined;
  private driven: DrivenCar;
  private senders: Senders;
  private throttleSwitch: ThrottleSwitch;
  private readonly show: Connectors = openConnectors();

  constructor(driven: DrivenCar, settings: Document) {
    this.driven = driven;
    this.senders = new Senders(settings);
    this.throttleSwitch = new ThrottleSwitch(settings);
    this.renew(false);
  }

  /** Other settings are in force: sensors and senders are those that they describe. The car stands at the line again. */
  rewire(driven: DrivenCar, settings: Document): void {
    this.driven = driven;
    this.senders = new Senders(settings);
    this.throttleSwitch = new ThrottleSwitch(settings);
    this.renew(false);
  }

  /**
   * Back to the start line: engine idling, bottle full, nothing switched on. The pedal then stands where a hand puts it, or
   * with `driven` where the driver of the car file holds it against wheelspin.
   */
  toLine(driven = false): void {
    this.controls = RELEASED;
    this.standsS = STOOD_S;
    this.renew(driven);
  }

  private renew(driven: boolean): void {
    const { car, driver, supply } = this.driven;
    this.motion = createMotion(car, driven ? driver : { ...driver, spin: "flat" });
    this.supply = createSupply(supply);
  }

  private get ownRpm(): number {
    return this.standsS > 0 ? 0 : this.motion.engineRpm;
  }

  /** The engine's speed goes over to where a hand holds it, and back to the car's own. */
  private moveRpm(dtS: number): void {
    const held = this.held.get("engine");
    if (held === undefined && this.handRpm === undefined) return;
    const to = held ?? this.ownRpm;
    const from = this.handRpm ?? this.ownRpm;
    const most = HAND_RPM_S * dtS;
    const rpm = from + Math.max(-most, Math.min(most, to - from));
    this.handRpm = held === undefined && rpm === to ? undefined : rpm;
  }

  /** What senders and sensors have to show now. */
  get measured(): Measured {
    const { motion, supply, held } = this;
    const road = held.get("road");
    return {
      engineRpm: this.handRpm ?? this.ownRpm,
      speedMS: road ?? motion.speedMS,
      wheelMS: road ?? motion.wheelMS,
      pedal: motion.pedal,
      manifoldPa: held.get("manifold") ?? motion.manifoldPa,
      bottlePa: held.get("bottle") ?? supply.bottlePa,
      fuelPa: held.get("fuel") ?? supply.fuelPa,
      lambda: held.get("mixture") ?? LAMBDA,
      batteryV: held.get("battery") ?? supply.batteryV,
    };
  }

  /** The connectors with every hand and every damaged wire. */
  connectors(): Connectors {
    const { show, controls } = this;
    this.senders.put(this.measured, show);
    const coolant = this.held.get("coolant");
    if (coolant !== undefined) show.sensorsMv[COOLANT] = coolant;
    show.switches = switchBits(controls, this.throttleSwitch.at(this.motion.pedal));
    for (const [name, wire] of this.wires) damage(show, name, wire);
    return show;
  }

  /** Moves on by `dtS`; `on` says for each solenoid, in pin order, whether it draws current. */
  step(dtS: number, on: (solenoid: number) => boolean): void {
    const { motion, supply, controls } = this;
    this.standsS -= dtS;
    this.moveRpm(dtS);
    motion.input.pedal = controls.pedal;
    motion.input.hold = controls.hold;
    supply.stages.forEach((stage, s) => {
      stage.nitrousOn = on(2 * s) ? 1 : 0;
      stage.fuelOn = on(2 * s + 1) ? 1 : 0;
    });
    supply.step(dtS);
    motion.input.addedW = supply.addedW;
    motion.step(dtS);
  }
}
