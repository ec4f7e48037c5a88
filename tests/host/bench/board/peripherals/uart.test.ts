// UART (PL011): time on the wire, FIFO levels, overruns and rates that do not match.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { runs } from "../../../../support/effort.ts";
import { type Bench, bench, pinFunction } from "../support/bare-chip.ts";

const UART = 0x40034000;
const FR = UART + 0x18;
const IMSC = UART + 0x38;
const RIS = UART + 0x3c;
const RX_EMPTY = 1 << 4;
const TX_FULL = 1 << 5;
const BUSY = 1 << 3;
const INT_RX = 1 << 4;
const INT_TX = 1 << 5;
const INT_TIMEOUT = 1 << 6;
const INT_OVERRUN = 1 << 10;
const IRQ = 20;

/** 125 MHz / 16 / 115200 in 64ths of a divider, as the PL011 manual has it. */
function divider(baud: number): { whole: number; fraction: number; exact: number } {
  const sixtyFourths = Math.round((125e6 * 4) / baud);
  return { whole: sixtyFourths >> 6, fraction: sixtyFourths & 63, exact: (125e6 * 4) / sixtyFourths };
}

function uart(baud = 115_200): Bench & { frameNs: number; got: { byte: number; ns: number }[] } {
  const to = bench();
  pinFunction(to, 0, 2);
  pinFunction(to, 1, 2);
  const { whole, fraction, exact } = divider(baud);
  to.write(UART + 0x24, whole);
  to.write(UART + 0x28, fraction);
  to.write(UART + 0x2c, 0x70);
  to.write(UART + 0x30, 0x301);
  const got: { byte: number; ns: number }[] = [];
  to.board.serial.baud = baud;
  to.board.serial.onByte = (byte) => got.push({ byte, ns: to.board.nowNs });
  return { ...to, frameNs: 10e9 / exact, got };
}

const drain = (to: Bench): number[] => {
  const bytes: number[] = [];
  while ((to.read(FR) & RX_EMPTY) === 0) bytes.push(to.read(UART) & 0xff);
  return bytes;
};

test.prop(
  [fc.uint8Array({ minLength: 1, maxLength: 32 }), fc.constantFrom(9600, 115_200, 921_600)],
  runs(15),
)("bytes leave one frame after the other", (bytes, baud) => {
  const to = uart(baud);
  const startNs = to.board.nowNs;
  for (const byte of bytes) to.write(UART, byte);
  to.board.runFor(40_000);
  expect(to.got.map(({ byte }) => byte)).toEqual([...bytes]);
  to.got.forEach(({ ns }, i) => {
    expect(ns - startNs).toBeCloseTo((i + 1) * to.frameNs, 3);
  });
});

test.prop([fc.uint8Array({ minLength: 1, maxLength: 32 })], runs(10))(
  "bytes from the host arrive",
  (bytes) => {
    const to = uart();
    to.board.serial.send(bytes);
    expect(to.board.serial.unsent).toBe(bytes.length);
    to.board.runFor(5000);
    expect(drain(to)).toEqual([...bytes]);
  },
);

describe("transmitter", () => {
  test("33 bytes fit: one on the wire and 32 waiting; then it is full", () => {
    const to = uart();
    for (let i = 0; i < 33; i++) to.write(UART, i);
    expect(to.read(FR) & (TX_FULL | BUSY)).toBe(TX_FULL | BUSY);
    expect(() => to.write(UART, 0)).toThrow("full");
  });

  test("its interrupt comes when the FIFO falls to half, not while it merely is below", () => {
    const to = uart();
    to.write(IMSC, INT_TX);
    expect(to.interrupt(IRQ)).toBe(false);
    to.write(UART, 1);
    to.board.runFor(2000);
    expect(to.interrupt(IRQ)).toBe(false);
    for (let i = 0; i < 20; i++) to.write(UART, i);
    to.board.run(to.board.nowNs + 2.5 * to.frameNs);
    expect(to.interrupt(IRQ)).toBe(false);
    to.board.run(to.board.nowNs + to.frameNs);
    expect(to.interrupt(IRQ)).toBe(true);
  });

  test("the divider counts only from the write to the line control register", () => {
    const to = uart();
    to.write(UART + 0x24, 1);
    const startNs = to.board.nowNs;
    to.write(UART, 0x55);
    to.board.runFor(1000);
    expect(to.got[0]!.ns - startNs).toBeCloseTo(to.frameNs, 3);
  });

  test("a pin that was not given to it, and use before it is set up, are refused", () => {
    const to = uart();
    pinFunction(to, 0, 5);
    expect(() => to.write(UART, 1)).toThrow("pin");
    expect(() => bench().write(UART, 1)).toThrow("not set up");
  });
});

describe("receiver", () => {
  test("asks at half full, and 32 bit times after the last byte", () => {
    const to = uart();
    to.write(IMSC, INT_RX | INT_TIMEOUT);
    to.board.serial.send(new Uint8Array(16));
    to.board.run(to.board.nowNs + 15.5 * (10e9 / 115_200));
    expect(to.interrupt(IRQ)).toBe(false);
    to.board.run(to.board.nowNs + 10e9 / 115_200);
    expect(to.read(RIS) & INT_RX).toBe(INT_RX);
    drain(to);
    expect(to.interrupt(IRQ)).toBe(false);
    to.board.serial.send(Uint8Array.of(1, 2));
    const bitNs = to.frameNs / 10;
    to.board.run(to.board.nowNs + 20e9 / 115_200 + 31 * bitNs);
    expect(to.interrupt(IRQ)).toBe(false);
    to.board.run(to.board.nowNs + 2 * bitNs);
    expect(to.read(RIS) & INT_TIMEOUT).toBe(INT_TIMEOUT);
    drain(to);
    expect(to.interrupt(IRQ)).toBe(false);
  });

  test("the 33rd byte that nobody fetches is lost and counted", () => {
    const to = uart();
    to.board.serial.send(Uint8Array.from({ length: 35 }, (_, i) => i));
    to.board.runFor(10_000);
    expect(to.board.chip.uart0.overruns).toBe(3);
    expect(to.read(RIS) & INT_OVERRUN).toBe(INT_OVERRUN);
    expect(drain(to)).toEqual(Array.from({ length: 32 }, (_, i) => i));
  });

  test("another rate garbles both directions", () => {
    const to = uart();
    to.board.serial.baud = 57_600;
    to.board.serial.send(Uint8Array.of(0x41));
    to.write(UART, 0x41);
    to.board.runFor(2000);
    expect(drain(to)).not.toContain(0x41);
    expect(to.got.map(({ byte }) => byte)).not.toContain(0x41);
  });

  test("reading an empty FIFO is refused", () => {
    expect(() => uart().read(UART)).toThrow("empty");
  });
});

describe("a new speed", () => {
  const BITS = 15;
  test.prop([fc.constantFrom(9600, 115_200, 921_600), fc.double({ min: 0, max: 2, noNaN: true })], {
    ...runs(12),
  })("is latched 15 bit times after the disable, and refused before", (baud, part) => {
    const to = uart(baud);
    to.write(UART + 0x30, 0);
    to.board.run(to.board.nowNs + (part * BITS * to.frameNs) / 10);
    const latch = () => to.write(UART + 0x2c, 0x70);
    if (part < 0.99) expect(latch).toThrow("bit times after the disable");
    else if (part > 1.01) expect(latch).not.toThrow();
  });

  test("is refused while the UART is enabled", () => {
    const to = uart();
    to.board.runFor(1000);
    expect(() => to.write(UART + 0x2c, 0x70)).toThrow("enabled");
  });
});
