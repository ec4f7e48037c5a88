// The emulated board with the released image and power on, served to other programs.
import { readFileSync } from "node:fs";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { type ServedBoard, serveBoard } from "#host/bench/serve.ts";
import { packageFile } from "../package-file.ts";

/** Starts it. `tcp`: a port number, or true for any free one; undefined: a pseudo-terminal where possible. */
export function startServedBoard(tcp: number | true | undefined): Promise<ServedBoard> {
  const image = readFileSync(packageFile("firmware", "image", "headgate.uf2"));
  const board = new EmulatedBoard({ image });
  board.powerOn();
  if (tcp === undefined) return serveBoard(board);
  return serveBoard(board, { kind: "tcp", port: tcp === true ? 0 : tcp });
}
