// A worker of a proof: proves the rows that it is sent, one after the other, on emulated boards of its own.
import { parentPort, workerData } from "node:worker_threads";
import { EmulatedBoard } from "#host/bench/board/emulated-board.ts";
import { prove } from "#host/bench/prove/prove.ts";
import { boardClient } from "./board-client.ts";
import type { ProofJob, ProofWord } from "./proof-job.ts";

const { document, image, elf } = workerData as ProofJob;
const port = parentPort!;
const say = (word: ProofWord): void => port.postMessage(word);

async function proveRow(row: string): Promise<void> {
  const findings = await prove(document, {
    makeBoard: () => new EmulatedBoard({ image, elf }),
    openClient: boardClient,
    only: [row],
    onProgress: (done) => done > 0 && say({ is: "fault" }),
  });
  say({ is: "row", findings });
}

port.on("message", (row: string) => void proveRow(row));
