// The emulated converter: what it says in a frame, and that it is silent after it was dead until it is selected anew.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { Mcp3208 } from "#host/bench/board/outside/mcp3208.ts";

const CLOCK_HZ = 1e6;
/** Start, single-ended, three channel bits; then a sample, the null bit and twelve data bits. */
const COMMAND_BITS = 5;
const FRAME_BITS = COMMAND_BITS + 14;

/** Clocks one frame; `before` is called ahead of each clock. Returns the last twelve bits, a bit that nobody drives as undefined. */
function frame(
  adc: Mcp3208,
  channel: number,
  before: (clock: number) => void = () => {},
): (0 | 1 | undefined)[] {
  const command = 0b11000 | channel;
  adc.select(1, 0);
  adc.select(0, 1000);
  const bits = Array.from({ length: FRAME_BITS }, (_, i) => {
    before(i);
    const input = i < COMMAND_BITS ? (command >> (COMMAND_BITS - 1 - i)) & 1 : 0;
    return adc.clock(input as 0 | 1, CLOCK_HZ);
  });
  return bits.slice(-12);
}

const codeOf = (bits: readonly (0 | 1 | undefined)[]): number =>
  bits.reduce<number>((code, bit) => 2 * code + bit!, 0);

test.prop([fc.integer({ min: 0, max: 7 }), fc.integer({ min: 0, max: 4095 })])(
  "a frame gives the code of its channel",
  (channel, code) => {
    const adc = new Mcp3208((asked) => (asked === channel ? code : code ^ 1));
    expect(codeOf(frame(adc, channel))).toBe(code);
  },
);

test.prop([fc.integer({ min: 0, max: FRAME_BITS - 2 }), fc.integer({ min: 1, max: FRAME_BITS })])(
  "dead for a part of a frame it drives nothing more in it, and the next frame is whole",
  (from, clocks) => {
    const adc = new Mcp3208(() => 0xfff);
    const bits = frame(adc, 3, (clock) => {
      adc.dead = clock >= from && clock < from + clocks;
    });
    adc.dead = false;
    expect(bits.at(-1)).toBeUndefined();
    expect(codeOf(frame(adc, 3))).toBe(0xfff);
  },
);
