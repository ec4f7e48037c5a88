// Times of the board's parts that differ from one part to the next: typical ones, and the slowest that a part may have.

/** What the program must not rely on. Times in nanoseconds. */
export interface PartTimes {
  /** One 4 KiB sector erase. */
  readonly sectorEraseNs: number;
  /** One 256-byte page program. */
  readonly pageProgramNs: number;
  /** From the crystal oscillator's enable until the crystal may be relied on; infinite for one that is broken. */
  readonly crystalSteadyNs: number;
  /** The ring oscillator that the chip starts on, Hz. */
  readonly ringHz: number;
  /** Clocks of the serial interface to the flash for a word that the cache does not hold. */
  readonly readClocks: number;
  /** Bit times that the UART rests between its disable and the write of its line control. */
  readonly restBits: number;
}

/**
 * Flash: typical times, from memory, unverified: read the flash maker's table. Crystal: a slow one; the waits that boards
 * are given lie between 6 and 64 ms (common practice, no source). Ring oscillator: a comment in the boot ROM's source.
 * Read: command, address, data, and the select high for a while. UART: the wait of the chip maker's own code (pico-sdk, uart.c).
 */
export const TYPICAL: PartTimes = {
  sectorEraseNs: 45e6,
  pageProgramNs: 0.4e6,
  crystalSteadyNs: 60e6,
  ringHz: 6.5e6,
  readClocks: 8 + 24 + 32 + 8,
  restBits: 15,
};

/** The same with the flash chip's longest times (from memory, unverified). */
export const SLOWEST: PartTimes = { ...TYPICAL, sectorEraseNs: 400e6, pageProgramNs: 3e6 };

/** Slowest and fastest ring oscillator, Hz (RP2040 datasheet, ROSC: 1.8 to 12 MHz; from memory). */
export const RING_HZ = { slowest: 1.8e6, fastest: 12e6 } as const;
