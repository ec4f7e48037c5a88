// Settings of what stands around the bottle: purge, heater, remote valve.
import { number, optional, type SettingNode } from "./table.ts";

/** Purge valve. */
export const purge: SettingNode = optional("purge", "purge valve and its button", [
  number(
    "longest",
    "Ms",
    [200, 10000, 3000],
    "longest purge for one press",
    "a stuck button must not empty the bottle",
  ),
  number(
    "eachMinute",
    "Ms",
    [500, 20000, 6000],
    "longest purge in any minute",
    "vented nitrous harms people nearby",
  ),
]);

/** Bottle heater. */
export const heater: SettingNode = optional(
  "heater",
  "bottle heater, switched on bottle pressure; needs `bottle`",
  [
    number(
      "onBelow",
      "KpaGauge",
      [3000, 7000, 6300],
      "heats below this, but not below 1000 kPa gauge, where no bottle is open",
      "inside the bottle's window",
    ),
    number(
      "offAt",
      "KpaGauge",
      [3100, 7100, 6600],
      "stops heating at this",
      "well under the critical pressure, 1036 psi gauge: above it pressure runs away",
    ),
    number(
      "longest",
      "S",
      [10, 3600, 1200],
      "longest heating without a pause of the switch",
      "a failed sensor must not cook the bottle",
    ),
  ],
);

/** Remote bottle valve. */
export const bottleValve: SettingNode = optional(
  "bottleValve",
  "remote bottle valve and its switch; needs `bottle`",
  [
    number(
      "opensWithin",
      "Ms",
      [100, 10000, 2000],
      "pressure must come this soon after it is opened",
      "a valve that does not open starves the stage",
    ),
  ],
);
