// Writes hardware-notes/pin-map.md: the 26 header pins of a Pico-class board, what hangs on each, and why they suffice.
import { headerPin } from "../model/header.ts";
import { ADC_A, LAMP_GPIO, PINS, type Pin, SLOW_SWITCHES, STAGES } from "../model/pins.ts";
import { code, GENERATED_NOTE, table } from "./markdown.ts";

/** PWM slice and channel that the chip can give a pin: slice (gpio / 2) mod 8, even A, odd B. */
export function sliceOf(gpio: number): string {
  return `${(gpio >> 1) & 7} ${gpio % 2 === 0 ? "A" : "B"}`;
}

function usesPwm({ kind, name }: Pin): boolean {
  return kind === "solenoid" || name === "retard";
}

const HOLDS: Readonly<Record<Pin["kind"], string>> = {
  uart: "1 kohm in series at the connector",
  spi: "short track to the converters",
  switch: "input circuit with its own pull-down",
  pulse: "pulse input circuit with its own pull-down",
  solenoid: "10 kohm pull-down, gate buffer, low-side driver with drain read-back",
  output: "10 kohm pull-down, driver",
};

function holds({ kind, safe, direction }: Pin): string {
  return kind === "spi" && direction === "out" && safe === 1
    ? "10 kohm pull-up: nothing is selected during a reset"
    : HOLDS[kind];
}

function row(pin: Pin): string[] {
  const uses = usesPwm(pin) ? `**${sliceOf(pin.gpio)}**` : sliceOf(pin.gpio);
  const { gpio, name, direction, safe, meaning } = pin;
  const level = direction === "in" ? "(input)" : safe ? "high" : "low";
  return [`GP${gpio}`, String(headerPin(gpio)), code(name), direction, level, uses, meaning, holds(pin)];
}

const channels = (names: readonly string[]): string => names.map((name, i) => `${i} ${name}`).join(", ");

function why(): string {
  const count = (kind: Pin["kind"]): number => PINS.filter((pin) => pin.kind === kind).length;
  const slow = SLOW_SWITCHES.length;
  return `## Why 26 pins suffice

A Pico-class board brings out 26 GPIOs. ${STAGES} stages need ${count("solenoid")} solenoid pins, and both pins of a stage must lie on one PWM slice
(channels A and B) so that fuel and nitrous are in phase. The pulses (${count("pulse")}) and the three switches that act fast need a pin each, since their edges
cause interrupts or are read in every tick. UART takes ${count("uart")}, plain outputs ${count("output")}.

That leaves ${count("spi")} pins for ${2 * ADC_A.length} analog channels and ${slow} slow switches. Two 8-channel converters on SPI need clock, data out, data in and two selects:
exactly ${count("spi")}. The switch register (74HC165) has to share them: its clock is the SPI clock, its output reaches \`spiIn\` through a resistor, so that a
selected converter wins, and **its load pin is connected to \`adcASelect\`**. While converter A is selected (low) the register loads the switches; with both selects
high the next eight clocks shift them out. No pin is left over.

Slices in bold are in use as PWM: ${PINS.filter(usesPwm)
    .map((pin) => sliceOf(pin.gpio))
    .join(", ")}. No two outputs share one.

## Behind the converters and the register

- ADC A (MCP3208): ${channels(ADC_A)}.
- ADC B (MCP3208): drain voltages of the solenoid drivers, in pin order: ${channels(
    PINS.filter((pin) => pin.kind === "solenoid").map((pin) => pin.name),
  )}.
- 74HC165: ${SLOW_SWITCHES.map((name, i) => `${String.fromCharCode(65 + i)} ${name}`).join(", ")}; E to G low; H and serial-in tied high, so that an absent or dead register is
  noticed (it then reads as all switches open).
- GP${LAMP_GPIO}: the board's own light, the status lamp. It is not on the header.
`;
}

/** The whole page. */
export function pinDoc(): string {
  return [
    `# Pin map\n\n${GENERATED_NOTE}\n\n`,
    "This page is made from `shared-schema/model/pins.ts`, as are the pin numbers in the firmware. The safe level is the one that moves nothing. During and after a reset the\n",
    "chip drives no pin at all, so every output that moves something has a pull-down of its own; the weak one inside the chip does not count.\n",
    "[GPIO numbers: shared-schema] [slice and channel: RP2040 datasheet, section PWM] [header position: from memory, check against the board maker's drawing]\n\n",
    table(
      ["GPIO", "header", "name", "direction", "safe level", "slice", "what it does", "what is connected"],
      PINS.map(row),
    ),
    "\n",
    why(),
  ].join("");
}
