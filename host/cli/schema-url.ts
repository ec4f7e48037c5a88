// Where an editor finds the schema of settings files: for the first line of each file that the tool writes for a person to edit.
import { pathToFileURL } from "node:url";
import { packageFile } from "./package-file.ts";

/** A `file:` address on this computer. */
export const schemaUrl = (): string =>
  pathToFileURL(packageFile("shared-schema", "generated", "settings.schema.json")).href;
