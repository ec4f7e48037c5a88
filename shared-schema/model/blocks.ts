// The memory that the control core shares with its surroundings: fixed addresses and fields, little-endian, naturally aligned.

/** One field of a block. `count` above 1 makes an array. */
export interface BlockField {
  readonly name: string;
  readonly type: "u8" | "u16" | "i16" | "u32" | "i32";
  readonly count?: number;
  readonly meaning: string;
}

/** A block at a fixed address of the core's linear memory. */
export interface Block {
  readonly name: string;
  readonly address: number;
  /** Room kept for it, in bytes; the generator fails when the fields need more. */
  readonly room: number;
  readonly fields: readonly BlockField[];
}

const f = (name: string, type: BlockField["type"], meaning: string, count?: number): BlockField =>
  count === undefined ? { name, type, meaning } : { name, type, meaning, count };

/** Written once by the board layer before `boot()`. */
export const BOOT: Block = {
  name: "Boot",
  address: 0x400,
  room: 64,
  fields: [
    f("reason", "u32", "why the chip started: 0 power, 1 watchdog bite, 2 trap, 3 asked for, 4 boot ROM"),
    f("detail", "u32", "for a trap: what trapped (see TRAPS); else 0"),
    f("imageGood", "u32", "1 when the program in flash matches its own CRC"),
    f("imageVersion", "u32", "version of the image, major * 65536 + minor * 256 + patch"),
    f("imageCrc", "u32", "CRC-32C that the image carries"),
    f("place", "u32", "for a trap: the program counter; else 0"),
    f("lockout", "u32", "what Outputs.lockout last was before the reset; 0 after power-on"),
  ],
};

/** Written by the board layer before every `tick()`. */
export const INPUTS: Block = {
  name: "Inputs",
  address: 0x440,
  room: 128,
  fields: [
    f("switches", "u32", "one bit a switch, 1 is closed (see SWITCH_BITS)"),
    f("armCuts", "u32", "how often an edge at the arm switch made the board cut the solenoid pins"),
    f("enginePulses", "u32", "engine pulses since start, wraps"),
    f("engineEdgeUs", "u32", "time of the last engine pulse"),
    f(
      "enginePeriodUs",
      "u32",
      "time between the last two engine pulses, 0 before the second since start and flash work",
    ),
    f("roadPulses", "u32", "road pulses since start, wraps"),
    f("roadEdgeUs", "u32", "time of the last road pulse"),
    f(
      "roadPeriodUs",
      "u32",
      "time between the last two road pulses, 0 before the second since start and flash work",
    ),
    f("adcA", "u16", "codes of ADC A, 0 to 4095, in channel order", 8),
    f("adcB", "u16", "codes of ADC B, 0 to 4095: drain voltages in pin order", 8),
    f("solenoidPins", "u16", "bit n: level of solenoid pin n at the moment its drain voltage was sampled"),
    f("adcMissing", "u16", "bit n: channel n of ADC A (8 + n: of ADC B) did not send its leading zero"),
    f("adcRounds", "u16", "finished rounds over all channels, wraps"),
    f("phase", "u16", "PWM counter of each stage's slice, in steps since its present period began", 4),
    f("loopUs", "u16", "time that the last pass of the main loop took"),
    f("rxLost", "u16", "received bytes that found no room, wraps"),
  ],
};

/** Written by `tick()`, read by the board layer after it. */
export const OUTPUTS: Block = {
  name: "Outputs",
  address: 0x4c0,
  room: 64,
  fields: [
    f(
      "pulse",
      "u16",
      "PWM compare in counter steps: nitrous 1, fuel 1, nitrous 2, ...; 0 is low, above `top` is high; taken over where a period begins",
      8,
    ),
    f("top", "u16", "PWM counter top: period is top + 1 steps of 2 us"),
    f("retard", "u16", "retard request in counter steps of the same period"),
    f(
      "runs",
      "u32",
      "bit n: stage n + 1 flows, its pins are its slice's; set, a period begins at once; cleared, both pins are low at once",
    ),
    f("flags", "u32", "one bit an output (see OUTPUT_BITS)"),
    f(
      "ackedCuts",
      "u32",
      "the value of armCuts up to which the core has seen cuts; the board drives solenoids only when equal",
    ),
    f("lockout", "u32", "while locked out: the row's number, its complement << 8, the value << 16; else 0"),
    f("gaps", "u32", "bit n: solenoid pin n stays low until the next tick, for a look at its driver"),
  ],
};

/** Bit numbers in Inputs.switches. The first three are pins, the others come through the shift register. */
export const SWITCH_BITS = {
  arm: 0,
  throttle: 1,
  launch: 2,
  purge: 3,
  heater: 4,
  bottleValve: 5,
  enrich: 6,
} as const;

/** Bit numbers in Outputs.flags. */
export const OUTPUT_BITS = {
  keepAlive: 0,
  purge: 1,
  heater: 2,
  bottleValve: 3,
  stageActive: 4,
  lamp: 5,
  keepAliveHigh: 6,
} as const;

/** Why a trap happened, kept over the reset in the watchdog's scratch registers. */
export const TRAPS = { none: 0, core: 1, hardFault: 2, board: 3, stack: 4 } as const;

/** Bytes received from the line, put here by the board layer before `serve(count)`. */
export const LINK_RX = { address: 0x600, room: 256 } as const;
/** Encoded frame to send, put here by `serve()`. */
export const LINK_TX = { address: 0x700, room: 768 } as const;
/** First address free for the core's own data. */
export const CORE_DATA_ADDRESS = 0xa00;
/** The newest log records, until they are packed into a page. A power of two. */
export const LOG_RING = { address: 0x4100, records: 8 } as const;
/** The ring of pages of the present run, with what they will hold in flash: its records, and what the core read in each tick. */
export const PAGE_RING = { address: 0x4200, pages: 605 } as const;
/** Bytes of linear memory that exist on the board; an access beyond traps. */
export const CORE_MEMORY_BYTES = 0x27b00;
/** So many at its end stay unused: see CORE_EDGE in wasm-ops.h. */
export const CORE_MEMORY_EDGE = 256;

/** PWM counter step: 125 MHz / 250. */
export const PWM_STEP_US = 2;
export const PWM_DIVIDER = 250;
/** One pass of the main loop, by the timer alarm. */
export const TICK_US = 1000;
/** Longest time between two feeds of the watchdog: a hang must be over in 20 ms, and this leaves a margin. */
export const WATCHDOG_US = 19_000;

/** Longest time that a gap of one tick lasts at a pin; a valve must take three times as long to close. */
export const GAP_US = 1100;

/** In the test at arming each driver conducts for so long; a valve must take three times as long to open. */
export const TRY_US = 500;

/** ADC scales: volts at the connector for one code, in microvolts. Sensors 0 to 5 V; battery, supply and drains 0 to 20.48 V. */
export const SENSOR_UV_PER_CODE = 1220.703125;
export const SUPPLY_MV_PER_CODE = 5;

/**
 * Flash map, offsets from the start of the chip (2 MiB). The board layer refuses writes below `dataStart`. The slots of
 * settings are the last `slotCount` sectors, from `slotA` on.
 */
export const FLASH = {
  bytes: 0x200000,
  sector: 4096,
  page: 256,
  imageHeader: 0x1c0,
  dataStart: 0x20000,
  logStart: 0x20000,
  ticksStart: 0x120000,
  logEnd: 0x1fc000,
  slotA: 0x1fc000,
  slotCount: 4,
} as const;
