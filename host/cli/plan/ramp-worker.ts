// A worker of a proof of ramps: drives the ladders that it is sent, one after the other, on core rigs of its own.
import { parentPort } from "node:worker_threads";
import { compileSparingly } from "./compile-sparingly.ts";
import { drivenLadder, type Ladder } from "./ramp-ladder.ts";

compileSparingly();
const port = parentPort!;

port.on("message", (ladder: Ladder) => port.postMessage(drivenLadder(ladder)));
