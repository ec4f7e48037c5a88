// Exit codes of the tool; numbers from 64 on follow the customary BSD sysexits list (sysexits.h), 130 the shells' 128 + SIGINT.

/** What the process says to the shell when it ends. */
export const EXIT = {
  yes: 0,
  no: 1,
  usage: 64,
  badSettings: 65,
  noFile: 66,
  noDevice: 69,
  bug: 70,
  linkLost: 74,
  tryAgain: 75,
  mismatch: 76,
  permission: 77,
  interrupted: 130,
} as const;

export type ExitCode = (typeof EXIT)[keyof typeof EXIT];
