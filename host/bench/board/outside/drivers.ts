// The eight solenoid drivers with their loads: low-side switches whose drain voltages go back to converter B.
import { FIRST_SOLENOID_GPIO, STAGES } from "#shared-schema/model/pins.ts";

/** [assumed] Drain voltage of a driver that conducts, mV. */
export const DRAIN_ON_MV = 100;
/** [assumed] Voltage that the bias of a drain's divider leaves when no load pulls it up, mV: told apart from short and sound. */
export const DRAIN_OPEN_LOAD_MV = 2500;
/** How many solenoids there are: a nitrous and a fuel one for each stage. */
export const SOLENOIDS = 2 * STAGES;

/** Faults of a driver or its wiring: `shorted` always conducts, `open` never does, `unplugged` has no load. */
export type DriverFault = "none" | "shorted" | "open" | "unplugged";

/** Solenoids in pin order: nitrous 1, fuel 1, nitrous 2, ... */
export class SolenoidDrivers {
  readonly faults: DriverFault[] = Array.from({ length: SOLENOIDS }, () => "none");
  readonly #pinHigh: (gpio: number) => boolean;
  readonly #supplyMv: () => number;

  /** `supplyMv`: the voltage behind the master relay now. */
  constructor(pinHigh: (gpio: number) => boolean, supplyMv: () => number) {
    this.#pinHigh = pinHigh;
    this.#supplyMv = supplyMv;
  }

  /** Drain voltage, mV. An unplugged load leaves the drain at the bias of its divider while the driver is off. */
  drainMv(index: number): number {
    if (this.faults[index] === "unplugged")
      return this.#pinHigh(FIRST_SOLENOID_GPIO + index) ? 0 : DRAIN_OPEN_LOAD_MV;
    return this.#conducts(index) ? Math.min(DRAIN_ON_MV, this.#supplyMv()) : this.#supplyMv();
  }

  /** True while current flows through the solenoid: its driver conducts, its load is there, its supply is on. */
  energised(index: number): boolean {
    return this.#conducts(index) && this.faults[index] !== "unplugged" && this.#supplyMv() > 0;
  }

  #conducts(index: number): boolean {
    const fault = this.faults[index];
    if (fault === "shorted") return true;
    return fault !== "open" && this.#pinHigh(FIRST_SOLENOID_GPIO + index);
  }
}
