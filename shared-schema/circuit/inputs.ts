// The inputs: sensors, switches and pulses with divider, filter and clamps; the serial line; the pull-ups of the selects.
import { ADC_A, SLOW_SWITCHES } from "../model/pins.ts";
import { capacitor, clampPair, type Part, resistor, two } from "./part.ts";

/** Sensors of 0 V to 5 V in channel order of ADC A: channels 11 to 16. */
export const SENSORS: readonly string[] = ADC_A.filter(
  (name) => name !== "battery" && name !== "driverSupply",
);
/** Switches with a pin of their own, then those behind the register: channels 21 to 27. */
export const SWITCHES: readonly string[] = [
  "arm",
  "throttle",
  "launch",
  ...SLOW_SWITCHES.map((name) => `${name}Switch`),
];
/** Pulse inputs: channels 31 and 32. */
export const PULSES = ["engine", "road"] as const;

/** Net of a switch behind its filter: that of the board's pin for the first three. */
export const switchNet = (name: string): string =>
  ["arm", "throttle", "launch"].includes(name) ? `${name}Switch` : `${name}.register`;

function sensor(name: string, i: number): Part[] {
  const n = 11 + i;
  return [
    resistor(`R${n}01`, "sensor.top", `${name}.signal`, `${name}.adc`, 0.1),
    resistor(`R${n}02`, "sensor.bottom", `${name}.adc`, "gnd", 0.1),
    capacitor(`C${n}01`, "sensor.filter", `${name}.adc`, "gnd", "film or ceramic X7R", 50),
    clampPair(`D${n}01`, `${name}.adc`),
  ];
}

function switchInput(name: string, i: number): Part[] {
  const n = 21 + i;
  const net = switchNet(name);
  return [
    two(`R${n}01`, "resistor", name, "gnd", {
      part: "wirewound or metal oxide",
      value: "switch.load",
      tolerancePercent: 5,
      rating: { watts: 2 },
    }),
    resistor(`R${n}02`, "switch.series", name, net),
    resistor(`R${n}03`, "switch.pulldown", net, "gnd"),
    capacitor(
      `C${n}01`,
      name === "arm" ? "switch.arm-filter" : "switch.filter",
      net,
      "gnd",
      "ceramic X7R",
      50,
    ),
    clampPair(`D${n}01`, net),
  ];
}

function pulse(name: string, i: number): Part[] {
  const n = 31 + i;
  const net = `${name}Pulse`;
  return [
    resistor(`R${n}01`, "pulse.series-12", `${name}.signal`, net),
    resistor(`R${n}02`, "switch.pulldown", net, "gnd"),
    capacitor(`C${n}01`, "pulse.filter", net, "gnd", "ceramic X7R", 50),
    clampPair(`D${n}01`, net),
  ];
}

export const INPUTS: readonly Part[] = [
  ...SENSORS.flatMap(sensor),
  ...SWITCHES.flatMap(switchInput),
  ...PULSES.flatMap(pulse),
  resistor("R41", "register.series", "register.out", "spiIn"),
  resistor("R42", "select.pull-up", "3v3", "adcASelect"),
  resistor("R43", "select.pull-up", "3v3", "adcBSelect"),
  resistor("R51", "uart.series", "uartTx", "uartTx.out"),
  resistor("R52", "uart.series", "uartRx.in", "uartRx"),
];
