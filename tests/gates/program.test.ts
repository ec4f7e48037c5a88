// Gates on the released program: what runs from where, who feeds the watchdog, what must not be linked, and the budgets.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import manifest from "../../firmware/image/manifest.json" with { type: "json" };
import {
  allSymbols,
  calls,
  functions,
  functionsNaming,
  inFlashOnly,
  ROOT,
  reachableFrom,
} from "./program.ts";

const KIB = 1024;
/** WATCHDOG block with its aliases (RP2040 datasheet, address map). */
const WATCHDOG = 0x40058000;
const WATCHDOG_BYTES = 0x4000;
const INTERRUPT_HANDLERS = ["io_bank0_isr", "timer0_isr", "spi0_isr", "uart0_isr"];

describe("where code runs", () => {
  test("only the second boot stage and the start-up stub run from flash", () => {
    const stub = [
      "clocks_start",
      "early_trap",
      "release",
      "reset_handler",
      "start_crystal",
      "start_pll",
      "switch_clocks",
      "watchdog_clocks_run",
      "watchdog_start",
      "watchdog_start_cause",
    ];
    expect(inFlashOnly().sort()).toEqual(["boot2", ...stub].sort());
  });

  test("nothing in RAM calls back into flash", () => {
    const inFlash = new Set(inFlashOnly());
    expect(calls.filter((call) => inFlash.has(call.to) && !inFlash.has(call.from))).toEqual([]);
  });
});

describe("the watchdog", () => {
  test("is fed from one place", () => {
    expect(calls.filter((call) => call.to === "watchdog_feed").map((call) => call.from)).toEqual([
      "board_main",
    ]);
  });

  test("that place comes after the tick, the outputs and the stack check", () => {
    const inLoop = calls.filter((call) => call.from === "board_main").map((call) => call.to);
    const before = inLoop.slice(0, inLoop.indexOf("watchdog_feed"));
    expect(before).toEqual(
      expect.arrayContaining(["w2c_core_tick", "stages_apply", "pins_apply", "stack_check"]),
    );
  });

  test("gets more time only around a flash operation", () => {
    const callers = new Set(calls.filter((call) => call.to === "watchdog_allow").map((call) => call.from));
    expect([...callers].sort()).toEqual(["enter_xip", "leave_xip"]);
  });

  test("has its registers touched by few: feeding, start, reset, and the two that end the program", () => {
    const known = ["clocks_start", "early_trap", "switch_clocks", "rom_enter_bootloader"];
    const touching = functionsNaming(WATCHDOG, WATCHDOG_BYTES).filter(
      (name) => !name.startsWith("watchdog_"),
    );
    expect(known).toEqual(expect.arrayContaining(touching));
  });
});

describe("what must not be there", () => {
  test("no floating-point and no 64-bit division helper is linked (names: ARM run-time ABI, IHI 0043)", () => {
    const helper = /^__aeabi_([fd]|[iul]+2[fd]|u?ldivmod)|^__(u?divdi3|u?moddi3|[a-z]+[sd]f[0-9a-z]*)$/;
    expect(allSymbols.map((s) => s.name).filter((name) => helper.test(name))).toEqual([]);
  });

  test("no interrupt handler divides, as the core does: nothing saves the divider's state around it", () => {
    for (const handler of INTERRUPT_HANDLERS) {
      const dividing = [...reachableFrom(handler)].filter((name) => /^__aeabi_u?idiv|^w2c_/.test(name));
      expect(dividing, handler).toEqual([]);
    }
  });

  test("no function is recursive", () => {
    const own = functions.filter(({ name }) =>
      calls.some((call) => call.from === name && reachableFrom(call.to).has(name)),
    );
    expect(own.map((f) => f.name)).toEqual([]);
  });
});

describe("budgets", () => {
  const { flash, coreText, text, data, bss, coreMemory, stack } = manifest.bytes;

  test("flash under 64 KiB, core text under 24 KiB, RAM under 200 KiB", () => {
    expect(flash).toBeLessThan(64 * KIB);
    expect(coreText).toBeLessThan(24 * KIB);
    expect(text + data + bss + coreMemory + stack).toBeLessThan(200 * KIB);
  });

  test("the board layer stays under 1,700 lines of C and assembly", () => {
    const folder = join(ROOT, "firmware/board");
    const files = readdirSync(folder).filter((name) => /\.[chS]$/.test(name));
    const lines = files.map((file) => readFileSync(join(folder, file), "utf8").split("\n").length - 1);
    expect(files.length).toBeGreaterThan(20);
    expect(lines.reduce((sum, count) => sum + count, 0)).toBeLessThan(1700);
  });
});
