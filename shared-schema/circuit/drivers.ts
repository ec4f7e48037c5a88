// The low-side drivers: eight solenoids with read-back, bottle valve and purge valve without, the heater relay; and the logic outputs.
import { PINS } from "../model/pins.ts";
import { capacitor, clampPair, diode, type Part, part, pin, resistor, two } from "./part.ts";

/** Names of the solenoid drivers in pin order. */
export const SOLENOIDS: readonly string[] = PINS.filter(({ kind }) => kind === "solenoid").map(
  ({ name }) => name,
);
/** Valves without read-back: channels 9 and 10. */
const PLAIN_VALVES = ["bottleValve", "purge"] as const;
/** Outputs of 5 V logic: channels 41 and 42. */
export const LOGIC_OUTPUTS = ["stageActive", "retard"] as const;
/** Every valve whose coil hangs on the driver supply, in channel order from 1. */
export const VALVES: readonly string[] = [...SOLENOIDS, ...PLAIN_VALVES];

/** Net of the fuse that feeds a valve: one for the two coils of a stage, one for bottle valve and purge valve. */
export function fedBy(channel: number): string {
  return channel <= SOLENOIDS.length ? `stage${Math.ceil(channel / 2)}` : "valves";
}

/** Gate resistor, pull-downs and transistor of one driver. `n` is 101 for channel 1. */
function lowSide(channel: number, name: string, drain: string): Part[] {
  const ref = (letter: string, i: number): string => `${letter}${channel}0${i}`;
  const gate = [
    pin("G", "G", "in", `${name}.gate`),
    pin("D", "D", "passive", drain),
    pin("S", "S", "passive", "star"),
  ];
  return [
    resistor(ref("R", 1), "driver.pulldown-pin", name, "gnd"),
    resistor(ref("R", 2), "driver.gate-series", `${name}.buffer`, `${name}.gate`),
    resistor(ref("R", 3), "driver.pulldown-gate", `${name}.gate`, "star"),
    part(ref("Q", 1), "n-fet", gate, {
      part: "N-channel MOSFET, logic level",
      value: "driver.fet-resistance",
      rating: { volts: "driver.fet-voltage", amps: 20 },
    }),
  ];
}

/** Suppressor and diode across a coil, from its drain back to its supply. */
export function clamp(channel: number, supply: string, drain: string): Part[] {
  const middle = `clamp${channel}`;
  return [
    diode(`D${channel}01`, "suppressor", supply, middle, {
      part: "suppressor of 1500 W, one way, named by its breakdown",
      value: "clamp.voltage",
      tolerancePercent: 5,
      rating: { watts: "clamp.power-rating" },
    }),
    diode(`D${channel}02`, "diode", drain, middle, { part: "fast diode", rating: { volts: 400, amps: 3 } }),
  ];
}

/** Divider, filter and clamps of one tap of 20.48 V. */
export function tap(channel: number, node: string, channelNet: string): Part[] {
  return [
    resistor(`R${channel}05`, "tap.top", node, channelNet, 1),
    resistor(`R${channel}06`, "tap.bottom", channelNet, "gnd", 1),
    capacitor(`C${channel}01`, "tap.filter", channelNet, "gnd", "ceramic X7R", 50),
    clampPair(`D${channel}04`, channelNet),
  ];
}

function readBack(channel: number, name: string): Part[] {
  return [
    diode(`D${channel}03`, "diode", "5v", `${name}.bias`, { part: "small diode", rating: { volts: 100 } }),
    resistor(`R${channel}04`, "drain.bias", `${name}.bias`, `${name}.drain`),
    ...tap(channel, `${name}.drain`, `${name}.tap`),
  ];
}

function valve(name: string, i: number): Part[] {
  const channel = i + 1;
  const read = channel <= SOLENOIDS.length ? readBack(channel, name) : [];
  return [
    ...lowSide(channel, name, `${name}.drain`),
    ...clamp(channel, fedBy(channel), `${name}.drain`),
    ...read,
  ];
}

const HEATER = 19;

function logicOutput(name: string, i: number): Part[] {
  return [
    resistor(`R${41 + i}01`, "driver.pulldown-pin", name, "gnd"),
    resistor(`R${41 + i}02`, "output.series", `${name}.buffer`, `${name}.out`),
  ];
}

/** Bleeder of the driver supply. */
const BLEEDER: Part = two("R8", "resistor", "drv", "star", {
  part: "wirewound or metal oxide",
  value: "drain.bleeder",
  tolerancePercent: 5,
  rating: { watts: 2 },
});

export const DRIVERS: readonly Part[] = [
  ...VALVES.flatMap(valve),
  ...lowSide(HEATER, "heater", "heater.drain"),
  ...clamp(HEATER, "feed", "heater.drain"),
  ...LOGIC_OUTPUTS.flatMap(logicOutput),
  BLEEDER,
];
