// Where the blocks of the RP2040 answer, as keys of the package's map: the address without its lowest 12 bits (RP2040 datasheet, address map).

/** Blocks that exist on the emulated board; every other address range answers nothing. */
export const SLOT = {
  ssi: 0x18000,
  sysinfo: 0x40000,
  syscfg: 0x40004,
  clocks: 0x40008,
  resets: 0x4000c,
  psm: 0x40010,
  ioBank0: 0x40014,
  padsBank0: 0x4001c,
  padsQspi: 0x40020,
  xosc: 0x40024,
  pllSys: 0x40028,
  pllUsb: 0x4002c,
  uart0: 0x40034,
  spi0: 0x4003c,
  pwm: 0x40050,
  timer: 0x40054,
  watchdog: 0x40058,
} as const;

/** Those of them that are the package's own. */
export const KEPT: readonly number[] = [
  SLOT.sysinfo,
  SLOT.syscfg,
  SLOT.clocks,
  SLOT.psm,
  SLOT.ioBank0,
  SLOT.padsBank0,
  SLOT.padsQspi,
  SLOT.pllSys,
  SLOT.pllUsb,
];

/** Bits of RESETS (RP2040 datasheet, RESETS). */
export const RESET_BIT = {
  ioBank0: 5,
  padsBank0: 8,
  padsQspi: 9,
  pllSys: 12,
  pllUsb: 13,
  pwm: 14,
  spi0: 16,
  syscfg: 18,
  sysinfo: 19,
  timer: 21,
  uart0: 22,
} as const;
