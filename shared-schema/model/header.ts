// The header of a Pico-class board: which of its 40 positions carries which signal.
import { PINS } from "./pins.ts";

/** Header position of each GPIO on a Pico-class board, from memory: check it against the board maker's drawing. */
const POSITIONS = [
  1, 2, 4, 5, 6, 7, 9, 10, 11, 12, 14, 15, 16, 17, 19, 20, 21, 22, 24, 25, 26, 27, 29,
] as const;
const POSITIONS_FROM_26 = [31, 32, 34] as const;

/** Positions of the header that carry no GPIO, from memory as well. */
export const HEADER_SUPPLY: Readonly<Record<number, string>> = {
  3: "GND",
  8: "GND",
  13: "GND",
  18: "GND",
  23: "GND",
  28: "GND",
  30: "RUN",
  33: "AGND",
  35: "ADC_VREF",
  36: "3V3",
  37: "3V3_EN",
  38: "GND",
  39: "VSYS",
  40: "VBUS",
};

/** Header position of a GPIO. Throws when it is not on the header: that is a mistake in the caller. */
export function headerPin(gpio: number): number {
  const pin = gpio < 26 ? POSITIONS[gpio] : POSITIONS_FROM_26[gpio - 26];
  if (pin === undefined) throw new Error(`GPIO ${gpio} is not on the header`);
  return pin;
}

/** Every position in order, with what stands beside it on the board: GP16, GND, VSYS. */
export function headerNames(): { position: number; name: string }[] {
  const gpios = PINS.map(({ gpio }) => ({ position: headerPin(gpio), name: `GP${gpio}` }));
  const others = Object.entries(HEADER_SUPPLY).map(([position, name]) => ({
    position: Number(position),
    name,
  }));
  return [...gpios, ...others].sort((a, b) => a.position - b.position);
}
