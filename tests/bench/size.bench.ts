// Flash and RAM that the released image takes, from its manifest.
import manifest from "../../firmware/image/manifest.json" with { type: "json" };
import type { Row } from "./row.ts";

const KIB = 1024;

/** Sizes as the build noted them; all code and constants are in RAM too. */
export async function run(): Promise<Row[]> {
  const { flash, coreText, text, data, bss, coreMemory, stack } = manifest.bytes;
  const row = (name: string, bytes: number, limitKib: number): Row => ({
    name,
    value: bytes / KIB,
    unit: "KiB",
    aim: `under ${limitKib}`,
  });
  return [
    row("flash: image", flash, 64),
    row("RAM: text of the core", coreText, 24),
    row("RAM: text, data, core memory, stack", text + data + bss + coreMemory + stack, 200),
  ];
}
