// A load over settings that are there already: the old and the new ones, and a world with a device that holds the old ones.
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { World } from "../world.ts";

export const OLD = exampleDocument(1);
export const NEW = exampleDocument(2);
export const LOAD = ["load", "car.yaml", "--yes"];

/** A world with old settings on the device and new ones in `car.yaml`. */
export function world(): World {
  const made = new World();
  made.device.state.settings = [...settingsBytes(OLD)];
  made.write("car.yaml", formatSettings(NEW));
  return made;
}
