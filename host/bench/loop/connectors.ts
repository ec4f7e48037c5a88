// What the car gives to the controller's connectors at one moment; the same for a core rig and for an emulated board.
import { SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Controls } from "./script.ts";

/** Written by the senders before every step. Frequencies in Hz, voltages in mV. */
export interface Connectors {
  engineHz: number;
  roadHz: number;
  batteryMv: number;
  /** By channel of ADC A; those of battery and supply are not read. */
  readonly sensorsMv: Float64Array;
  /** One bit a switch, 1 is closed (see SWITCH_BITS). */
  switches: number;
}

/** Everything at rest and without voltage. */
export const openConnectors = (): Connectors => ({
  engineHz: 0,
  roadHz: 0,
  batteryMv: 0,
  sensorsMv: new Float64Array(ADC_A.length),
  switches: 0,
});

/** Switch bits of the driver's controls; `wideOpen`: the throttle switch is closed. */
export function switchBits(controls: Controls, wideOpen: boolean): number {
  const bit = (name: keyof typeof SWITCH_BITS, closed: boolean): number =>
    closed ? 1 << SWITCH_BITS[name] : 0;
  return (
    bit("arm", controls.arm) |
    bit("throttle", wideOpen) |
    bit("launch", controls.launch) |
    bit("purge", controls.purge) |
    bit("heater", controls.heater) |
    bit("bottleValve", controls.bottleValve) |
    bit("enrich", controls.enrich)
  );
}
