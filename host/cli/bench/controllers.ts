// Controllers for a closed loop, with a settings file stored in them: the core rig, or the emulated board with the released image.
import { readFileSync } from "node:fs";
import { STARTED_US } from "#host/bench/board/boot.ts";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { boardLine } from "#host/bench/board-line.ts";
import { BoardController } from "#host/bench/loop/board-controller.ts";
import type { Controller } from "#host/bench/loop/controller.ts";
import { RigController } from "#host/bench/loop/rig-controller.ts";
import { imageFacts } from "#host/image/header.ts";
import { decodeUf2 } from "#host/image/uf2.ts";
import { LinkClient } from "#host/link/client.ts";
import { hello, requireFit } from "#host/link/device.ts";
import { writeSettings } from "#host/link/transfer.ts";
import { packageFile } from "../package-file.ts";
import type { Session } from "../session.ts";
import type { GoodFile } from "../settings/settings-file.ts";
import { storedFlash } from "./rig-flash.ts";

/** Bytes of the control core's module. */
export const coreBytes = (): Uint8Array => readFileSync(packageFile("firmware", "image", "core.wasm"));

/** CRC-32C that the released image carries. */
export function releasedCrc(): number {
  const { bytes } = decodeUf2(readFileSync(packageFile("firmware", "image", "headgate.uf2")));
  const facts = imageFacts(bytes);
  if (!facts) throw new Error("the package's image is damaged");
  return facts.crc;
}

/** Settings that passed their check. */
type Loadable = Pick<GoodFile, "block" | "hash">;

/** The control core, ready for any number of rigs. */
export const coreModule = (): WebAssembly.Module => new WebAssembly.Module(new Uint8Array(coreBytes()));

async function store(session: Session, board: EmulatedBoard, file: Loadable): Promise<void> {
  const line = boardLine(board);
  const client = new LinkClient(line, { clock: line.clock, signal: session.io.signal });
  try {
    requireFit(await hello(client));
    const show = session.progress("load ");
    const stored = await writeSettings(client, file.block, { progress: show.update });
    show.end();
    session.talk(`emulated board: settings ${file.hash} stored in slot ${stored.slot}`);
  } finally {
    await client.close();
  }
}

/** The released image on an emulated board, started, with the settings stored over its line. */
export async function loadedBoard(session: Session, file: Loadable): Promise<EmulatedBoard> {
  const board = new EmulatedBoard({ image: readFileSync(packageFile("firmware", "image", "headgate.uf2")) });
  board.powerOn();
  board.runFor(STARTED_US);
  session.talk("emulated board: released firmware image started, instruction by instruction");
  await store(session, board, file);
  return board;
}

/** The same as a controller. */
export async function boardController(session: Session, file: GoodFile): Promise<Controller> {
  return new BoardController(await loadedBoard(session, file));
}

/** The control core alone, with the settings stored. */
export async function rigController(session: Session, file: GoodFile): Promise<RigController> {
  const module = coreModule();
  const controller = new RigController(module, await storedFlash(module, file.block));
  session.talk(
    `core rig: settings ${file.hash} stored; the control core alone, as the released image has it`,
  );
  return controller;
}
