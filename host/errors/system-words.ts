// What an error of the operating system means, in words of our own: by its name, which is the same on every system.
import { systemCode } from "./failure.ts";

const WORDS: Readonly<Record<string, string>> = {
  ENOENT: "there is no such file or folder",
  ENOTDIR: "part of this path is a file, not a folder",
  EISDIR: "this is a folder",
  EACCES: "this user may not read or write here",
  EPERM: "this user may not do that here",
  EROFS: "this disk is read-only",
  EEXIST: "this file exists already",
  ENOSPC: "the disk is full",
  EDQUOT: "this user's share of the disk is used up",
  ENAMETOOLONG: "the name is too long",
  ENXIO: "the device is gone",
  ENODEV: "the device is gone",
  EIO: "the device reports a read or write error",
  ECONNREFUSED: "nothing listens there",
  ECONNRESET: "the other side closed the connection",
  EPIPE: "the other side closed the connection",
  ENOTFOUND: "there is no computer of that name",
  EAI_AGAIN: "the name of that computer could not be looked up",
  EHOSTUNREACH: "that computer cannot be reached",
  ENETUNREACH: "that computer cannot be reached",
  ETIMEDOUT: "that computer does not answer",
};

/** Words for something thrown by a call to the system; one that is not in the list is only named, as `error EMFILE`. */
export function systemWords(thrown: unknown): string {
  const code = systemCode(thrown);
  return WORDS[code] ?? (code === "" ? "the system does not say why" : `error ${code}`);
}
