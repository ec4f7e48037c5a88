// What the emulated board costs, measured: processor time for a virtual second, asleep and in a four-stage run, and for a start.

import { readFileSync } from "node:fs";
import { STARTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { boardLine } from "#host/bench/board-line.ts";
import { launchScript } from "#host/bench/loop/script.ts";
import { LinkClient } from "#host/link/client.ts";
import { writeSettings } from "#host/link/transfer.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { STAGES } from "#shared-schema/model/pins.ts";
import { pack, toBytes } from "#shared-schema/settings/pack.ts";
import { driveBoard } from "../support/driven.ts";
import type { Row } from "./row.ts";

/** A launch is looked at for so long. */
const END_S = 9;

const IMAGE = readFileSync("firmware/image/headgate.uf2");
const SLEEP_S = 10;

interface Cost {
  readonly cpuS: number;
  readonly virtualS: number;
  readonly instructions: number;
}

function cost(board: EmulatedBoard, work: () => void): Cost {
  const [instructions, ns, cpu] = [board.instructions, board.nowNs, process.cpuUsage()];
  work();
  const { user, system } = process.cpuUsage(cpu);
  return {
    cpuS: (user + system) / 1e6,
    virtualS: (board.nowNs - ns) / 1e9,
    instructions: board.instructions - instructions,
  };
}

function startedBoard(): EmulatedBoard {
  const board = new EmulatedBoard({ image: IMAGE });
  board.powerOn();
  board.runFor(STARTED_US);
  return board;
}

async function fourStageRun(): Promise<Cost> {
  const board = startedBoard();
  const settings = exampleDocument(STAGES);
  const line = boardLine(board);
  const client = new LinkClient(line, { clock: line.clock });
  await writeSettings(client, toBytes(pack(settings)));
  await client.close();
  return cost(board, () => {
    const run = driveBoard(board, settings, launchScript(settings), END_S);
    if (run.nitrous.some((edges) => edges.length === 0))
      throw new Error("a stage did not flow: nothing was measured");
  });
}

const rows = (name: string, { cpuS, virtualS, instructions }: Cost, aim: string): Row[] => [
  { name: `emulated second, ${name}`, value: cpuS / virtualS, unit: "s of one core", aim },
  { name: `instructions in it, ${name}`, value: instructions / virtualS / 1e6, unit: "million" },
  { name: `instructions a second of one core, ${name}`, value: instructions / cpuS / 1e6, unit: "million" },
];

/** Measures everything; times are processor time of this process, the car's model and the first warm-up included. */
export async function run(): Promise<Row[]> {
  const start = process.cpuUsage();
  const board = startedBoard();
  const { user, system } = process.cpuUsage(start);
  const asleep = cost(board, () => board.runFor(SLEEP_S * 1e6));
  const flowing = await fourStageRun();
  return [
    { name: "a board from nothing to its main loop", value: (user + system) / 1e3, unit: "ms" },
    ...rows("settings missing", asleep, "under 0.5"),
    ...rows("four stages, car included", flowing, "under 0.5"),
  ];
}
