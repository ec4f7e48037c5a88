// Which gears the two speeds could belong to; leans to "this gear" by the rounding of both speeds.
import { GEARS } from "#shared-schema/settings/choices.ts";
import { engineRpm, type Raw, roadDeciKmh } from "./raw.ts";
import type { Settings, Windows } from "./settings.ts";

/** Could a gear that the window allows be in? True without a window. */
export function gearCouldBeIn(raw: Raw, settings: Settings, { gears }: Windows): boolean {
  const { gearbox } = settings;
  if (!gears || !gearbox) return true;
  const [rpm, speed] = [engineRpm(raw, settings), roadDeciKmh(raw, settings)];
  if (rpm < 1 || speed <= 1) return false;
  const ratios = [(100 * (rpm - 1)) / (speed + 1), (100 * (rpm + 1)) / (speed - 1)] as const;
  const from = GEARS.indexOf(gears.lowest);
  return gearbox.gears.slice(from, GEARS.indexOf(gears.highest) + 1).some(({ ratioDeciRpmPerKmh: ratio }) => {
    const off = (ratio * gearbox.tolerancePermille) / 1000 + 1;
    return ratios[0] <= ratio + off && ratios[1] >= ratio - off;
  });
}
