// Splits the byte stream at zeros. Anything longer than the longest frame is discarded, so the buffer is bounded.
import type { TransformCallback } from "node:stream";
import { DelimiterParser } from "@serialport/parser-delimiter";
import { FRAME_MAX_BYTES } from "./frame.ts";

/** Emits the bytes between two zeros as one `data` event, also when there are none. */
export class FrameSplitter extends DelimiterParser {
  /** Bytes discarded because no zero came in time. */
  overflow = 0;

  constructor() {
    super({ delimiter: [0], readableObjectMode: true });
  }

  override _transform(chunk: Buffer, encoding: BufferEncoding, done: TransformCallback): void {
    super._transform(chunk, encoding, (error) => {
      if (this.buffer.length > FRAME_MAX_BYTES + 1) {
        this.overflow += this.buffer.length;
        this.buffer = Buffer.alloc(0);
      }
      done(error);
    });
  }

  /** Whatever is left when the stream ends is not a frame. */
  override _flush(done: TransformCallback): void {
    this.buffer = Buffer.alloc(0);
    done();
  }
}
