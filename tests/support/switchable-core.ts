// A control core from the same sources in which single interlocks can be switched off by a bit: only tests build such a core.
import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { compileCore } from "#firmware/build/core.ts";
import type { CoreRig } from "#host/bench/core/rig.ts";

/** Where the bits lie: above everything that the core or the board knows of. */
const OFF_BITS = 0x1f000;
const CORE = new URL("../../firmware/core", import.meta.url).pathname;

const isOff = (lock: string): string => `((load<u32>(${OFF_BITS}) >> ${lock}) & 1)`;

/** File, text that must be there exactly once, and what takes its place. */
const EDITS: readonly (readonly [string, string, string])[] = [
  [
    "latch.ts",
    "export function trip(lock: u32, value: u32): void {\n",
    `$&  if (${isOff("lock")}) return;\n`,
  ],
  [
    "latch.ts",
    "export function lockOut(lock: u32, value: u32): void {\n",
    `$&  if (${isOff("lock")}) return;\n`,
  ],
  [
    "modes.ts",
    "return bootInfo.imageGood ? reasons : reasons | (1 << N.LOCK_IMAGE);",
    `return (bootInfo.imageGood ? reasons : reasons | (1 << N.LOCK_IMAGE)) & ~load<u32>(${OFF_BITS});`,
  ],
  ["interlocks.ts", "state.reasons = reasons;", `state.reasons = reasons & ~load<u32>(${OFF_BITS});`],
  [
    "index.ts",
    "state.bootHold = 1;",
    `if (${isOff("N.LOCK_ARM_BOOT")}) state.armReady = 1; else state.bootHold = 1;`,
  ],
  [
    "speed.ts",
    "if (!setting(S.DRIVELINE_PRESENT)) return;",
    `if (${isOff("N.LOCK_DRIVELINE")} || !setting(S.DRIVELINE_PRESENT)) return;`,
  ],
  ["link.ts", "if (!atRest()) return", `if (!${isOff("N.LOCK_LINK")} && !atRest()) return`],
];

function edit(folder: string, name: string, old: string, text: string): void {
  const path = join(folder, name);
  const source = readFileSync(path, "utf8");
  if (source.split(old).length !== 2) throw new Error(`${name} holds this not once: ${old}`);
  writeFileSync(path, source.replace(old, text));
}

/** Compiles it. Takes some seconds. */
export async function switchableCore(): Promise<WebAssembly.Module> {
  const folder = mkdtempSync(join(tmpdir(), "headgate-core-"));
  try {
    cpSync(CORE, folder, { recursive: true });
    for (const [name, old, text] of EDITS) edit(folder, name, old, text);
    await compileCore(folder, "index.ts", join(folder, "core.wasm"));
    return new WebAssembly.Module(new Uint8Array(readFileSync(join(folder, "core.wasm"))));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Switches interlocks off by their numbers, before the core boots. */
export function switchOff(rig: CoreRig, ...numbers: number[]): void {
  const bits = numbers.reduce((all, number) => all | (1 << number), 0);
  new DataView(rig.core.memory.buffer).setUint32(OFF_BITS, bits >>> 0, true);
}
