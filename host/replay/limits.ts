// What records a hundred times a second cannot show in a replay, and why: printed with every replay of them.

/** Interlocks, and what a record does not hold of their cause. */
export interface NotShown {
  /** Identifiers of interlocks. */
  readonly ids: readonly string[];
  readonly why: string;
}

/** A replay from records takes all of this for sound. */
export const NOT_SHOWN: readonly NotShown[] = [
  { ids: ["RPM-JUMP", "RPM-LOST", "DRIVELINE"], why: "single pulses are not recorded" },
  {
    ids: ["DRIVER", "CLAMP", "RELAY", "SUPPLY", "KEEP-ALIVE"],
    why: "neither the drivers' drains nor the supply behind the relay is recorded",
  },
  { ids: ["ADC", "SENSOR", "COOLANT"], why: "codes of the converters are not recorded" },
  { ids: ["ARM"], why: "noise at the arm switch is over before a record could show it" },
];

/** What stands nearer to a limit than one count of its record may come to the other side of it. */
export const COARSE: readonly { readonly ids: readonly string[]; readonly what: string }[] = [
  { ids: ["BOTTLE-LOW", "BOTTLE-HIGH", "VALVE"], what: "bottle pressure to 50 kPa" },
  { ids: ["FUEL-LOW"], what: "fuel pressure to 5 kPa" },
  { ids: ["LEAN"], what: "mixture to 0.01 lambda" },
  { ids: ["BATT-LOW"], what: "battery voltage to 0.1 V" },
  { ids: ["WOT", "TPS-SW"], what: "throttle opening to 0.5 %" },
];

/** Why a replay from records may miss what these interlocks did; undefined where nothing is known that would excuse it. */
export function excuseFor(ids: readonly string[]): string | undefined {
  const not = NOT_SHOWN.find((entry) => entry.ids.some((id) => ids.includes(id)));
  if (not) return not.why;
  const coarse = COARSE.find((entry) => entry.ids.some((id) => ids.includes(id)));
  return coarse && `it is recorded only coarsely: ${coarse.what}`;
}
