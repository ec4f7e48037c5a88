// Small images for the emulated board: second boot stage, vectors, and a main program that runs from flash.
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { crc32Mpeg2 } from "#host/codec/crc32-mpeg2.ts";
import { encodeUf2 } from "#host/image/uf2.ts";
import { Assembler } from "./assembler.ts";

const FLASH = 0x10000000;
const VECTORS = 0x10000100;
const SSI = 0x18000000;
const STACK_TOP = 0x20040000;
const CODE_AT = 0x200;
/** Where the programs of these tests run. */
export const MAIN = FLASH + CODE_AT;
/** Where handlers of these tests are put. */
export const HANDLERS = FLASH + 0x800;
const IMAGE_BYTES = 0x1000;
const VTOR = 0xe000ed08;

function secondStage(): Uint8Array {
  return new Assembler(0x20041f00)
    .poke(SSI + 0x08, 0)
    .poke(SSI + 0x14, 4)
    .poke(SSI + 0x00, (31 << 16) | (3 << 8))
    .poke(SSI + 0xf4, 0x03000218)
    .poke(SSI + 0x04, 0)
    .poke(SSI + 0x08, 1)
    .poke(VTOR, VECTORS)
    .load(0, VECTORS)
    .raw(0x6801, 0x468d, 0x6841, 0x4708)
    .bytes();
}

/** Vector numbers to code; each handler is put after the one before. */
export type Handlers = Readonly<Record<number, (code: Assembler) => Assembler>>;

/** An image whose main program is what `main` assembles. Exceptions without a handler stay where they are. */
export function program(main: (code: Assembler) => Assembler, handlers: Handlers = {}): Uint8Array {
  const image = new Uint8Array(IMAGE_BYTES);
  const view = new DataView(image.buffer);
  image.set(secondStage(), 0);
  view.setUint32(252, crc32Mpeg2(image.subarray(0, 252)), true);
  image.set(main(new Assembler(MAIN)).bytes(), CODE_AT);
  placeHandlers(image, view, handlers);
  view.setUint32(0x100, STACK_TOP, true);
  view.setUint32(0x104, MAIN | 1, true);
  return encodeUf2(image, FLASH);
}

function placeHandlers(image: Uint8Array, view: DataView, handlers: Handlers): void {
  const stay = HANDLERS;
  view.setUint16(stay - FLASH, 0xe7fe, true);
  for (let number = 2; number < 48; number++) view.setUint32(0x100 + 4 * number, stay | 1, true);
  let at = HANDLERS + 16;
  for (const [number, assemble] of Object.entries(handlers)) {
    const code = assemble(new Assembler(at)).bytes();
    image.set(code, at - FLASH);
    view.setUint32(0x100 + 4 * Number(number), at | 1, true);
    at += (code.length + 15) & ~15;
  }
}

/** Parts that cost these programs no time: a crystal that is steady and a flash that answers at once. */
export const QUICK = { crystalSteadyNs: 0, readClocks: 0 };

/** A board that has just been switched on with such an image. */
export function boardWith(main: (code: Assembler) => Assembler, handlers: Handlers = {}): EmulatedBoard {
  const board = new EmulatedBoard({ image: program(main, handlers), parts: QUICK });
  board.powerOn();
  return board;
}

/** A word of the board's SRAM. */
export function sramWord(board: EmulatedBoard, address: number): number {
  return board.chip.rp2040.sramView.getUint32(address - 0x20000000, true);
}

/** Brings the chip to 125 MHz with TIMER, PWM, pins, UART and SPI out of reset, as the board's image does. */
export function fullSpeed(code: Assembler): Assembler {
  const RESETS = 0x4000c000;
  const CLOCKS = 0x40008000;
  const PLL = 0x40028000;
  return code
    .poke(0x4002400c, 0)
    .poke(0x40024000, 0xfabaa0)
    .poke(CLOCKS + 0x30, 2)
    .poke(RESETS + 0x3000, 1 << 12)
    .poke(PLL + 0x0, 1)
    .poke(PLL + 0x8, 125)
    .poke(PLL + 0xc, (6 << 16) | (2 << 12))
    .poke(PLL + 0x4, 4)
    .poke(CLOCKS + 0x3c, 1)
    .poke(CLOCKS + 0x48, 1 << 11)
    .poke(0x4005802c, 0x200 | 12)
    .poke(RESETS + 0x3000, (1 << 5) | (1 << 8) | (1 << 14) | (1 << 16) | (1 << 21) | (1 << 22));
}
