// What is known of a run besides its log: the chunk FACT, one JSON object. Members that are not known are passed over.

/** All of them. Check sums and fingerprints are eight hexadecimal digits. */
export interface Facts {
  /** Number of the run in the controller's log. */
  readonly run: number;
  /** Number of the board, six hexadecimal digits. */
  readonly board: string;
  /** Version of the image, `0.1.0`, and the CRC-32C that it carries. */
  readonly image: string;
  readonly imageCrc: string;
  /** Version of the serial protocol, and fingerprint of the table of settings. */
  readonly protocol: number;
  readonly fingerprint: string;
  /** When the run was pulled: UTC, ISO 8601. */
  readonly pulled: string;
  /** Version of the tool that pulled it. */
  readonly tool: string;
}

/** Type of each member. */
const MEMBERS: Readonly<Record<keyof Facts, "number" | "string">> = {
  run: "number",
  board: "string",
  image: "string",
  imageCrc: "string",
  protocol: "number",
  fingerprint: "string",
  pulled: "string",
  tool: "string",
};

const NAMES = Object.keys(MEMBERS) as (keyof Facts)[];

/** As UTF-8 text. */
export function factsBytes(facts: Facts): Uint8Array {
  return new TextEncoder().encode(JSON.stringify(facts));
}

function parsed(bytes: Uint8Array): unknown {
  try {
    return JSON.parse(new TextDecoder().decode(bytes));
  } catch {
    return undefined;
  }
}

/** Undefined when it is no such object or a member is missing or of another type. */
export function factsOf(bytes: Uint8Array): Facts | undefined {
  const value = parsed(bytes);
  if (typeof value !== "object" || value === null) return undefined;
  const object = value as Record<string, unknown>;
  if (NAMES.some((name) => typeof object[name] !== MEMBERS[name])) return undefined;
  return Object.fromEntries(NAMES.map((name) => [name, object[name]])) as unknown as Facts;
}
