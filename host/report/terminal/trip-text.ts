// What the value of a trip means: each interlock keeps the number that tripped it, in a unit of its own.
import { SENSOR_UV_PER_CODE } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { ADC_A, PINS } from "#shared-schema/model/pins.ts";
import { type StoredUnit, UNITS, type UnitSuffix } from "#shared-schema/model/units.ts";

/** Units of those whose value is a measured quantity. */
const UNIT_OF: Readonly<Record<string, UnitSuffix>> = {
  "TPS-SW": "Permille",
  "RPM-LOST": "Us",
  "RPM-JUMP": "Rpm",
  OVERBOOST: "DeciKpa",
  "BOTTLE-LOW": "KpaGauge",
  "BOTTLE-HIGH": "KpaGauge",
  "FUEL-LOW": "DeciKpaGauge",
  LEAN: "MilliLambda",
  ENRICH: "Us",
  "BATT-LOW": "Mv",
  RELAY: "Mv",
  TIME: "Us",
  VALVE: "KpaGauge",
  SUPPLY: "Mv",
};
const DRIVER_FAULTS = ["", "always conducts", "has no load", "never conducts"];
const SOLENOIDS = PINS.filter((pin) => pin.kind === "solenoid").map((pin) => pin.name);
const CHANNELS = [...ADC_A.map((name) => `A ${name}`), ...SOLENOIDS.map((name) => `B ${name}`)];

/** Number of no trip. */
export const NO_TRIP = 255;

function driverText(value: number): string {
  return `${SOLENOIDS[(value >> 8) - 1] ?? "a solenoid"} ${DRIVER_FAULTS[value & 0xff] ?? "disagrees"}`;
}

function converterText(value: number): string {
  const missing = CHANNELS.filter((_, channel) => (value >> channel) & 1);
  if (missing.length === 0) return "the same code on all channels, or none at all";
  return missing.length > 3 ? `${missing.length} channels missing` : `missing: ${missing.join(", ")}`;
}

/** Analog inputs that a SENSOR trip did not believe, by the value that it keeps: a bit each, and the code of the lowest from bit 16. */
export function doubtedSensors(value: number): string[] {
  return ADC_A.filter((_, channel) => (value >> channel) & 1);
}

function sensorText(value: number): string {
  const [lowest, ...others] = doubtedSensors(value);
  if (lowest === undefined) return "";
  const mv = Math.round(((value >>> 16) * SENSOR_UV_PER_CODE) / 1000);
  return [`${lowest} sensor at ${mv} mV`, ...others.map((name) => `${name} sensor`)].join(", ");
}

/** A raw value with its unit. */
export function withUnit(value: number, suffix: UnitSuffix): string {
  const { written, perWritten, reference }: StoredUnit = UNITS[suffix];
  return [value / perWritten, written, reference].filter((part) => part !== undefined).join(" ");
}

/** Those whose value is no quantity. */
const WORDS_OF: Readonly<Record<string, (value: number) => string>> = {
  DRIVER: driverText,
  CLAMP: (value) => SOLENOIDS[value - 1] ?? "a solenoid",
  ADC: converterText,
  SENSOR: sensorText,
};

/** The value that tripped, in words; empty for those that keep none worth telling. */
export function tripValueText(trip: number, value: number): string {
  const id = INTERLOCKS[trip]?.id ?? "";
  const words = WORDS_OF[id];
  if (words) return words(value);
  const unit = UNIT_OF[id];
  return unit ? withUnit(value, unit) : "";
}

/** An interlock with the value that tripped it: a quantity is what it tripped at, words stand in brackets. */
export function tripWithValue(id: string, valueText: string): string {
  if (valueText === "") return id;
  return WORDS_OF[id] ? `${id} (${valueText})` : `${id} at ${valueText}`;
}
