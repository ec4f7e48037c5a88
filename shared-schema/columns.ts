// What the controller says of itself at one moment: the status answer on the link and, column for column, a log record.

import type { Block, BlockField } from "./blocks.ts";
import type { UnitSuffix } from "./units.ts";

/** One column. Fields of `type`, little-endian, in this order, naturally aligned by construction. */
export interface Column extends BlockField {
  readonly unit?: UnitSuffix;
}

const c = (
  name: string,
  type: Column["type"],
  meaning: string,
  unit?: UnitSuffix,
  count?: number,
): Column => ({
  name,
  type,
  meaning,
  ...(unit === undefined ? {} : { unit }),
  ...(count === undefined ? {} : { count }),
});

/** All columns. The core keeps them up to date in every tick. */
export const COLUMNS: readonly Column[] = [
  c("timeUs", "u32", "time of the tick, wraps every 71.6 minutes", "Us"),
  c("reasons", "u32", "bit n: interlock number n holds flow off now"),
  c("tripValue", "u32", "the value that tripped, in the unit of its input"),
  c("noiseCuts", "u32", "arm switch edges that were over within 5 ms"),
  c("mode", "u8", "number of the mode"),
  c("trip", "u8", "number of the interlock that tripped first, 255 for none"),
  c("flowing", "u8", "bit s: stage s + 1 flows"),
  c("flags", "u8", "output bits as in Outputs.flags"),
  c("switches", "u16", "switch bits as in Inputs.switches"),
  c("engineRpm", "u16", "engine speed", "Rpm"),
  c(
    "throttlePermille",
    "u16",
    "throttle opening; 1000 when no position sensor is fitted and the switch is closed",
    "Permille",
  ),
  c("roadDeciKmh", "u16", "road speed", "DeciKmh"),
  c("manifoldDeciKpa", "u16", "manifold pressure", "DeciKpa"),
  c("batteryMv", "u16", "battery voltage", "Mv"),
  c("sharePermille", "u16", "share of each stage after ramps and rise limit", "Permille", 4),
  c("loopUs", "u16", "time that the last pass of the main loop took", "Us"),
  c("badFrames", "u16", "damaged, oversized or unknown frames received, wraps"),
];

/** The block in the core's memory that holds the columns. */
export const LIVE: Block = { name: "Live", address: 0x500, room: 128, fields: COLUMNS };
