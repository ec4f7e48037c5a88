// The eight solenoid drivers with their loads: low-side switches whose drain voltages go back, filtered, to converter B.
import { FIRST_SOLENOID_GPIO, STAGES } from "#shared-schema/model/pins.ts";
import { CLAMP_MV, Coil, DIODE_MV } from "./coil.ts";

/** [assumed] Drain voltage of a driver that conducts, mV. */
export const DRAIN_ON_MV = 100;
/** [assumed] Voltage that the bias of a drain's divider leaves when no load pulls it up, mV: told apart from short and sound. */
export const DRAIN_OPEN_LOAD_MV = 2500;
/** Time constant of a drain's tap, ns: 52.3 and 10.0 kohm in parallel with 10 nF (hardware-notes/values.json, tap). */
export const TAP_NS = 84e3;
/** How many solenoids there are: a nitrous and a fuel one for each stage. */
export const SOLENOIDS = 2 * STAGES;
/** How long a driver with the fault `late` does not conduct at the start of each pulse, ns. */
export const LATE_NS = 11e6;

/**
 * Faults of a driver or its wiring: `shorted` always conducts, `open` never does, `late` not at once, `skips` in every second
 * pulse only, `unplugged` has no load, `clamp-shorted` a coil whose suppressor is shorted, `lamp` a lamp in place of its coil.
 */
export type DriverFault =
  | "none"
  | "shorted"
  | "open"
  | "late"
  | "skips"
  | "unplugged"
  | "clamp-shorted"
  | "lamp";
/** With these no current flows in a coil. */
const WITHOUT_COIL: readonly DriverFault[] = ["unplugged", "lamp"];

/** What is around the drivers: the time in ns, the level of a pin, the voltage behind the master relay in mV. */
export interface DriverSurroundings {
  readonly nowNs: () => number;
  readonly pinHigh: (gpio: number) => boolean;
  readonly supplyMv: () => number;
}

/** One driver as it was when something last changed. */
interface Past {
  ns: number;
  roseNs: number;
  rises: number;
  conducts: boolean;
  /** Drain voltage behind the filter of its tap, mV. */
  tapMv: number;
}

/** Solenoids in pin order: nitrous 1, fuel 1, nitrous 2, ... */
export class SolenoidDrivers {
  readonly faults: DriverFault[] = Array.from({ length: SOLENOIDS }, () => "none");
  /** Their coils; set other values to try another valve. */
  readonly coils: Coil[] = Array.from({ length: SOLENOIDS }, () => new Coil());
  readonly #around: DriverSurroundings;
  readonly #past: Past[] = Array.from({ length: SOLENOIDS }, () => ({
    ns: 0,
    roseNs: Number.NEGATIVE_INFINITY,
    rises: 0,
    conducts: false,
    tapMv: 0,
  }));

  constructor(around: DriverSurroundings) {
    this.#around = around;
  }

  /** A pin has changed. Call it after every change; other pins are not looked at. */
  pinChanged(gpio: number): void {
    const index = gpio - FIRST_SOLENOID_GPIO;
    const past = this.#past[index];
    if (!past) return;
    this.#pass(index);
    if (this.#high(index)) {
      past.roseNs = this.#around.nowNs();
      past.rises++;
    }
    past.conducts = this.#conducts(index);
  }

  /** The voltage behind the relay is about to change. */
  supplyChanges(): void {
    for (let index = 0; index < SOLENOIDS; index++) this.#pass(index);
  }

  /** Drain voltage as the converter sees it, mV, behind the filter of its tap. */
  drainMv(index: number): number {
    this.#pass(index);
    return this.#past[index]!.tapMv;
  }

  /** True while current is made to flow through the solenoid: its driver conducts, its load is there, its supply is on. */
  energised(index: number): boolean {
    return this.#conducts(index) && this.faults[index] !== "unplugged" && this.#around.supplyMv() > 0;
  }

  /** Lets the time since the last change go by, with the driver as it was then. */
  #pass(index: number): void {
    const past = this.#past[index]!;
    const nowNs = this.#around.nowNs();
    const supplyMv = this.#around.supplyMv();
    const coil = this.coils[index]!;
    const passed = nowNs - past.ns;
    const fault = this.faults[index]!;
    coil.clampMv = fault === "clamp-shorted" ? DIODE_MV : CLAMP_MV;
    const clampedNs = past.conducts ? 0 : Math.min(passed, coil.decayNs);
    if (clampedNs > 0) this.#filter(past, clampedNs, coil.clampedMv(supplyMv));
    this.#filter(past, passed - clampedNs, this.#restingMv(index, past.conducts, supplyMv));
    coil.pass(passed, past.conducts && !WITHOUT_COIL.includes(fault), supplyMv);
    past.ns = nowNs;
    past.conducts = this.#conducts(index);
  }

  #filter(past: Past, ns: number, towardsMv: number): void {
    past.tapMv = towardsMv + (past.tapMv - towardsMv) * Math.exp(-ns / TAP_NS);
  }

  /** Drain voltage with no current in the coil but what the driver draws, mV. */
  #restingMv(index: number, conducts: boolean, supplyMv: number): number {
    if (this.faults[index] === "unplugged") return conducts ? 0 : DRAIN_OPEN_LOAD_MV;
    return conducts ? Math.min(DRAIN_ON_MV, supplyMv) : supplyMv;
  }

  #high(index: number): boolean {
    return this.#around.pinHigh(FIRST_SOLENOID_GPIO + index);
  }

  #conducts(index: number): boolean {
    const fault = this.faults[index];
    if (fault === "shorted") return true;
    if (fault === "open" || !this.#high(index)) return false;
    const { roseNs, rises } = this.#past[index]!;
    if (fault === "skips") return rises % 2 === 0;
    return fault !== "late" || this.#around.nowNs() - roseNs >= LATE_NS;
  }
}
