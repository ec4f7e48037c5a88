// The raw inputs with unbounded times, and the quantities they mean in floating point; nothing here knows the core.
import type { Pulses, Raw } from "#host/bench/core/raw.ts";
import { SENSOR_UV_PER_CODE, SUPPLY_MV_PER_CODE, SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { type Line, lineOf, type SensorName, type Settings, type WindowName } from "./settings.ts";

export type { Raw } from "#host/bench/core/raw.ts";
export type AnalogName = (typeof ADC_A)[number];

/** Is a switch closed? */
export function isOn(raw: Pick<Raw, "switches">, name: keyof typeof SWITCH_BITS): boolean {
  return ((raw.switches >>> SWITCH_BITS[name]) & 1) === 1;
}

/** Pulses a microsecond: the last period, or what the silence since the last pulse allows when that is less. 0 before the second pulse. */
function pulseRate({ periodUs, edgeUs }: Pulses, nowUs: number): number {
  return periodUs === 0 ? 0 : 1 / Math.max(periodUs, nowUs - edgeUs);
}

/** Engine speed, rpm. */
export function engineRpm(raw: Raw, settings: Settings): number {
  return (pulseRate(raw.engine, raw.nowUs) * 60e6 * 2) / settings.engine.pulsesHalfPulses;
}

/** Road speed, 0.1 km/h; 0 when no pulses are set up. */
export function roadDeciKmh(raw: Raw, settings: Settings): number {
  return settings.road ? (pulseRate(raw.road, raw.nowUs) * 3.6e10) / settings.road.pulsesPerKm : 0;
}

const sensorMv = (code: number): number => (code * SENSOR_UV_PER_CODE) / 1000;

/** Voltage at a channel of ADC A that carries a sensor, millivolts. */
export function channelMv(raw: Raw, name: AnalogName): number {
  return sensorMv(raw.adcA[ADC_A.indexOf(name)]!);
}

/** Battery voltage, millivolts. */
export function batteryMv(raw: Raw): number {
  return raw.adcA[ADC_A.indexOf("battery")]! * SUPPLY_MV_PER_CODE;
}

/** Voltage behind the master relay, millivolts. */
export function supplyMv(raw: Raw): number {
  return raw.adcA[ADC_A.indexOf("driverSupply")]! * SUPPLY_MV_PER_CODE;
}

/** A value, and by how much an integer reading of it may differ. */
export interface Reading {
  readonly value: number;
  readonly rounding: number;
}

/** What a sensor shows. Whole codes at both ends of its line: one code, and one code in the span; and one unit. No value lies below 0. */
export function sensed(raw: Raw, name: SensorName, line: Line): Reading {
  const spanCodes = ((line.highMv - line.lowMv) * 1000) / SENSOR_UV_PER_CODE;
  const rise = ((line.high - line.low) * (channelMv(raw, name) - line.lowMv)) / (line.highMv - line.lowMv);
  const perCode = (line.high - line.low) / spanCodes;
  return { value: Math.max(0, line.low + rise), rounding: 1 + perCode + Math.abs(rise) / (spanCodes - 1) };
}

/** The value that a window looks at, in the window's unit. */
export function windowValue(raw: Raw, settings: Settings, name: WindowName): Reading {
  if (name === "engineSpeed") return { value: engineRpm(raw, settings), rounding: 1 };
  if (name === "roadSpeed") return { value: roadDeciKmh(raw, settings), rounding: 1 };
  const line = lineOf(settings, "manifold");
  return line ? sensed(raw, "manifold", line) : { value: 0, rounding: 0 };
}
