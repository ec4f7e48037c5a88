// What is kept of past versions of the settings: files, the schema they were right by, the image of that time, and a block as it stored it.
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { gunzipSync } from "node:zlib";

const FOLDER = new URL("./fixtures/", import.meta.url);
const bytesOf = (file: string): Buffer => readFileSync(fileURLToPath(new URL(file, FOLDER)));

/** Text of a file of a past version. */
export const pastText = (version: number, name: string): string =>
  bytesOf(`version-${version}/${name}`).toString();

/** The full file as it reads in the present version. */
export const PRESENT_FULL = bytesOf("present/full.yaml").toString();

/** The image that belonged to a past version, as it was built then. */
export const pastImage = (version: number): Buffer<ArrayBuffer> =>
  Buffer.from(gunzipSync(bytesOf(`version-${version}/headgate.uf2.gz`)));

/** The full file of a past version as its own host packed it. */
export const pastBlock = (version: number): Uint8Array =>
  new Uint8Array(Buffer.from(pastText(version, "full.block.hex").replaceAll("\n", ""), "hex"));

/** What each version's files say of the steps that they still have before them, oldest first. */
const CHANGES: Readonly<Record<number, readonly string[]>> = {
  1: [
    "engine.jump.unevenness is new and set to 2 %: uneven pulses of a steady engine tripped; this is the strictest that there is, raise it if they still do",
  ],
  3: [
    "road.sender is new and set to driveshaft: the controller is told what the sender counts; change it if yours is at a wheel",
  ],
};

/** All changes that a full file of that version goes through. */
export const changesFrom = (version: number): string[] =>
  Object.entries(CHANGES).flatMap(([from, texts]) => (Number(from) >= version ? texts : []));
