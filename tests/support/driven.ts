// Cars that drive in closed loops: planned ones with their own settings, the demo, and one that only stands.
import { readFileSync } from "node:fs";
import { RESTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { MemoryFlash } from "#host/bench/core/flash.ts";
import { BoardController } from "#host/bench/loop/board-controller.ts";
import type { DrivenCar } from "#host/bench/loop/closed-loop.ts";
import { type Run, rehearse } from "#host/bench/loop/rehearse.ts";
import { RigController } from "#host/bench/loop/rig-controller.ts";
import type { Movement } from "#host/bench/loop/script.ts";
import { ASSUMED_DRIVER } from "#host/car/driver.ts";
import { ASSUMED_LAGS, type SupplyData } from "#host/car/supply-data.ts";
import { planOnce } from "#host/cli/plan/plan-once.ts";
import type { PlanInput } from "#host/plan/input/plan-input.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { supplyOf } from "#host/plan/run/supply.ts";
import { settingsOf } from "#host/plan/settings-document.ts";
import type { SystemPlan } from "#host/plan/system-plan.ts";
import { checkSettings } from "#host/settings/check.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { type Document, pack } from "#shared-schema/settings/pack.ts";
import { Device } from "../oracle/device.ts";
import { coreOn } from "./core.ts";
import { coreModuleFile } from "./core-module.ts";
import { RELEASED } from "./native-core.ts";

/** A car with the settings that it drives with. */
export interface Entry extends DrivenCar {
  readonly settings: Document;
  readonly plan: SystemPlan;
}

const DEMO_CAR = readFileSync("host/demo/street-coupe-car.yaml", "utf8");

/** The plan input of a car file. */
export function inputOf(text: string): PlanInput {
  const loaded = loadCar(text);
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.errors));
  return loaded.input;
}

function entry(text: string, settingsFor: (input: PlanInput, plan: SystemPlan) => Document): Entry {
  const input = inputOf(text);
  const plan = planOnce(input);
  const settings = settingsFor(input, plan);
  return { settings, plan, car: input.car, driver: input.driver, supply: supplyOf(input, plan, settings) };
}

/** A car file with the settings of its own plan. */
export const plannedEntry = (text: string): Entry => entry(text, settingsOf);

/** The demo car with the demo settings. */
export const demoEntry = (): Entry =>
  entry(DEMO_CAR, () => {
    const { document } = checkSettings(readFileSync("host/demo/street-coupe.yaml", "utf8"));
    return document!;
  });

export const CORE = new WebAssembly.Module(new Uint8Array(readFileSync(coreModuleFile())));

/** Flash of a core that has stored these settings. */
export function flashWith(settings: Document): MemoryFlash {
  const flash = new MemoryFlash();
  const rig = coreOn(flash);
  rig.start();
  new Device(rig).store(pack(settings));
  return flash;
}

export const rigWith = (flash: MemoryFlash, before = 0): RigController =>
  new RigController(CORE, flash, { before });

const released = (file: string): Uint8Array => readFileSync(`${RELEASED}${file}`);

/** A board with the released image, and how many ticks its core has had since the start. */
export interface CountedBoard {
  readonly board: EmulatedBoard;
  readonly ticks: () => number;
}

/** A started board with the released image on a flash chip that holds these settings already. */
export function boardWith(settings: Document): CountedBoard {
  const board = new EmulatedBoard({ image: released("headgate.uf2"), elf: released("headgate.elf") });
  const stored = flashWith(settings);
  board.flash.bytes.set(stored.bytes.subarray(FLASH.dataStart), FLASH.dataStart);
  let ticks = 0;
  board.watch("w2c_core_tick", () => void ticks++);
  board.powerOn();
  board.runFor(RESTED_US);
  return { board, ticks: () => ticks };
}

const NO_SUPPLY: SupplyData = {
  ...ASSUMED_LAGS,
  stages: [],
  bottlePa: 6.75e6,
  bottleOverDrawn: [[0, 1]],
  flowOverBottle: [[0, 1]],
  powerOverBottle: [[0, 1]],
  fuelPa: 4e5,
};

/** Drives a board with the demo car through a script up to a time; its solenoids feed nothing. */
export function driveBoard(
  board: EmulatedBoard,
  settings: Document,
  script: readonly Movement[],
  endS: number,
): Run {
  return rehearse({
    controller: new BoardController(board),
    settings,
    script,
    car: inputOf(DEMO_CAR).car,
    driver: ASSUMED_DRIVER,
    supply: NO_SUPPLY,
    until: { atS: endS },
    endsByItself: true,
  });
}
