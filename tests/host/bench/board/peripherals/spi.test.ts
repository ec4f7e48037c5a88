// SPI (PL022) with what hangs on it: frame times, FIFOs, interrupts, and the converters' three-byte conversation of the reference.
import { readFileSync } from "node:fs";
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { SENSOR_UV_PER_CODE, SUPPLY_MV_PER_CODE } from "#shared-schema/model/blocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { runs } from "../../../../support/effort.ts";
import { type Bench, bench, pinFunction } from "../support/bare-chip.ts";

const { MCP3208 } = JSON.parse(readFileSync("tests/reference/parts.json", "utf8"));
const SPI = 0x4003c000;
const DR = SPI + 8;
const SR = SPI + 0xc;
const IMSC = SPI + 0x14;
const SIO_SET = 0xd0000014;
const SIO_CLEAR = 0xd0000018;
const SELECT_A = 1 << 5;
const SELECT_B = 1 << 6;
const BUSY = 1 << 4;
const NOT_EMPTY = 1 << 2;
const INT_RX_HALF = 1 << 2;
const IRQ = 18;
const CLOCK_NS = 126 * 8;

function spi(bits: number): Bench {
  const to = bench();
  for (const gpio of [2, 3, 4]) pinFunction(to, gpio, 1);
  to.write(SIO_SET, SELECT_A | SELECT_B);
  to.write(0xd0000024, SELECT_A | SELECT_B);
  for (const gpio of [5, 6]) pinFunction(to, gpio, 5);
  to.write(SPI + 0x10, 126);
  to.write(SPI, bits - 1);
  to.write(SPI + 4, 2);
  return to;
}

/** Sends frames and gives what came back, waiting for each. */
function exchange(to: Bench, frames: readonly number[]): number[] {
  for (const frame of frames) to.write(DR, frame);
  while ((to.read(SR) & BUSY) !== 0) to.board.runFor(1);
  return frames.map(() => to.read(DR));
}

/** One conversion as the reference's public drivers make it: three bytes. */
function convert(to: Bench, select: number, channel: number): { code: number; nullBit: number } {
  to.write(SIO_CLEAR, select);
  const tx = (MCP3208.transfer_3_bytes.tx_examples[channel] as string[]).map(Number);
  const rx = exchange(to, tx);
  to.write(SIO_SET, select);
  to.board.runFor(1);
  return { code: ((rx[1]! & 0x0f) << 8) | rx[2]!, nullBit: (rx[1]! >> 4) & 1 };
}

describe("frames", () => {
  test.prop([fc.integer({ min: 4, max: 16 }), fc.integer({ min: 1, max: 8 })], runs(12))(
    "each takes its bits, with one clock between two",
    (bits, count) => {
      const to = spi(bits);
      const startNs = to.board.nowNs;
      for (let i = 0; i < count; i++) to.write(DR, 0);
      const endNs = startNs + (count * bits + count - 1) * CLOCK_NS;
      to.board.run(endNs - 1);
      expect(to.read(SR) & BUSY).toBe(BUSY);
      to.board.run(endNs);
      expect(to.read(SR) & BUSY).toBe(0);
    },
  );

  test("the receive interrupt comes with the fourth frame and goes when fewer are left", () => {
    const to = spi(6);
    to.write(IMSC, INT_RX_HALF);
    for (let i = 0; i < 4; i++) to.write(DR, 0);
    to.board.run(to.board.nowNs + (3 * 7 + 5) * CLOCK_NS);
    expect(to.interrupt(IRQ)).toBe(false);
    to.board.run(to.board.nowNs + 2 * CLOCK_NS);
    expect(to.interrupt(IRQ)).toBe(true);
    to.read(DR);
    expect(to.interrupt(IRQ)).toBe(false);
    expect(to.read(SR) & NOT_EMPTY).toBe(NOT_EMPTY);
  });

  test("a full FIFO, an empty one and a mode that is not modelled are refused", () => {
    const to = spi(8);
    for (let i = 0; i < 9; i++) to.write(DR, 0);
    expect(() => to.write(DR, 0)).toThrow("full");
    const other = spi(8);
    expect(() => other.read(DR)).toThrow("empty");
    expect(() => other.write(SPI, 0x87)).toThrow("not modelled");
  });

  test("the timeout interrupt comes 32 bit times after the last frame while something is left to read", () => {
    const to = spi(8);
    to.write(IMSC, 1 << 1);
    to.write(DR, 0);
    to.board.run(to.board.nowNs + (8 + 31) * CLOCK_NS);
    expect(to.interrupt(IRQ)).toBe(false);
    to.board.run(to.board.nowNs + 2 * CLOCK_NS);
    expect(to.interrupt(IRQ)).toBe(true);
    to.read(DR);
    expect(to.interrupt(IRQ)).toBe(false);
  });

  test("a pin that was not given to it, and an input pad that is off, are refused", () => {
    const to = spi(8);
    pinFunction(to, 3, 5);
    expect(() => to.write(DR, 0)).toThrow("GP3");
    const deaf = spi(8);
    deaf.write(0x4001c004 + 4 * 4, 0x16);
    expect(() => deaf.write(DR, 0)).toThrow("pad is off");
  });

  test("a chip select that moves inside a frame, and both at once, are refused", () => {
    const to = spi(8);
    to.write(DR, 0);
    expect(() => to.write(SIO_CLEAR, SELECT_A)).toThrow("inside an SPI frame");
    const both = spi(8);
    both.write(SIO_CLEAR, SELECT_A | SELECT_B);
    both.write(DR, 0);
    expect(() => both.board.runFor(100)).toThrow("both converters");
  });
});

/** The filter of a drain tap has long settled after this. */
const FILTERED_US = 20_000;

describe("converters", () => {
  const sensors = ["throttle", "manifold", "bottle", "fuel", "lambda", "coolant"] as const;

  test.prop([fc.constantFrom(...sensors), fc.integer({ min: 0, max: 5000 })], runs(25))(
    "A gives the code of the channel's voltage, after a null bit",
    (name, millivolts) => {
      const to = spi(8);
      to.board.harness.setSensorMv(name, millivolts);
      const { code, nullBit } = convert(to, SELECT_A, ADC_A.indexOf(name));
      expect(nullBit).toBe(0);
      expect(code).toBe(Math.min(4095, Math.floor((millivolts * 1000) / SENSOR_UV_PER_CODE)));
    },
  );

  test("battery and supply have the other scale, and the supply is there only behind a closed relay", () => {
    const to = spi(8);
    to.board.harness.batteryMv = 12_345;
    expect(convert(to, SELECT_A, ADC_A.indexOf("battery")).code).toBe(
      Math.floor(12_345 / SUPPLY_MV_PER_CODE),
    );
    expect(convert(to, SELECT_A, ADC_A.indexOf("driverSupply")).code).toBe(0);
    to.board.harness.relay.setFault("welded");
    expect(convert(to, SELECT_A, ADC_A.indexOf("driverSupply")).code).toBe(Math.floor(12_345 / 5));
    to.board.runFor(FILTERED_US);
    expect(convert(to, SELECT_B, 3).code).toBe(Math.floor(12_345 / 5));
  });

  test("a dead converter leaves the line to the register: its null bit reads one", () => {
    const to = spi(8);
    to.board.harness.adcA.dead = true;
    expect(convert(to, SELECT_A, 0)).toEqual({ code: 0xfff, nullBit: 1 });
    expect(convert(to, SELECT_B, 0).nullBit).toBe(0);
  });

  test("the shortest time between two conversions is kept", () => {
    const to = spi(8);
    convert(to, SELECT_A, 0);
    convert(to, SELECT_A, 1);
    expect(to.board.harness.adcA.shortestHighNs).toBe(1000);
  });
});

describe("switch register", () => {
  test.prop([fc.boolean(), fc.boolean(), fc.boolean(), fc.boolean()], { numRuns: 16 })(
    "shifts the switches out, input H first, after a conversion of A has loaded them",
    (purge, heater, bottleValve, enrich) => {
      const to = spi(8);
      const { harness } = to.board;
      harness.setSlowSwitch("purge", purge);
      harness.setSlowSwitch("heater", heater);
      harness.setSlowSwitch("bottleValve", bottleValve);
      harness.setSlowSwitch("enrich", enrich);
      convert(to, SELECT_A, 7);
      const [byte, next] = exchange(to, [0, 0]);
      expect(byte).toBe(0x80 | +purge | (+heater << 1) | (+bottleValve << 2) | (+enrich << 3));
      expect(next).toBe(0xff);
    },
  );

  test("a change after the load is not seen until the next", () => {
    const to = spi(8);
    convert(to, SELECT_A, 7);
    to.board.harness.setSlowSwitch("purge", true);
    expect(exchange(to, [0])).toEqual([0x80]);
    convert(to, SELECT_A, 7);
    expect(exchange(to, [0])).toEqual([0x81]);
  });
});
