// One solenoid coil with its clamp: how its current rises while the driver conducts, and falls against the clamp after it.

/** Voltage across a coil's clamp while its current falls, mV: 24 V suppressor and diode (hardware-notes/values.json, clamp). */
export const CLAMP_MV = 24_800;
/** The same when the suppressor is shorted: the diode alone. */
export const DIODE_MV = 800;

/** Currents in mA, voltages in mV; of an open valve whose inductance does not change. */
export class Coil {
  readonly ohm: number;
  readonly henry: number;
  /** Current now, mA. */
  mA = 0;
  /** Voltage of its clamp, mV. */
  clampMv = CLAMP_MV;

  /** The values that stand in hardware-notes/values.json as the example, if not told otherwise. */
  constructor(ohm = 4, henry = 0.03) {
    this.ohm = ohm;
    this.henry = henry;
  }

  get #tauNs(): number {
    return (this.henry / this.ohm) * 1e9;
  }

  /** Time until the clamp has ended the current, ns. */
  get decayNs(): number {
    return this.#tauNs * Math.log1p((this.mA * this.ohm) / this.clampMv);
  }

  /** Drain voltage while the clamp conducts, mV. */
  clampedMv(supplyMv: number): number {
    return supplyMv + this.clampMv;
  }

  /** Lets `ns` go by with the driver conducting or not. */
  pass(ns: number, conducts: boolean, supplyMv: number): void {
    const towards = (conducts ? supplyMv : -this.clampMv) / this.ohm;
    this.mA = Math.max(0, towards + (this.mA - towards) * Math.exp(-ns / this.#tauNs));
  }
}
